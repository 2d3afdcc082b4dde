"""Figures as the pages write them: 57.7 lb, $38.40."""

MINUS = "\N{MINUS SIGN}"


def pounds(steps: int) -> str:
    """Tenths of a pound as a bare number: 57.7, 54."""
    return f"{steps // 10}" if steps % 10 == 0 else f"{steps // 10}.{steps % 10}"


def lb(steps: int) -> str:
    """Tenths of a pound with the unit."""
    return f"{pounds(steps)} lb"


def usd(cents: int) -> str:
    """Cents as dollars."""
    sign = MINUS if cents < 0 else ""
    return f"{sign}${abs(cents) // 100:,}.{abs(cents) % 100:02}"


def cents(text: str) -> int:
    """Dollars read back."""
    whole = int(text.replace("$", "").replace(",", "").replace(".", "").replace(MINUS, ""))
    return -whole if text.startswith(MINUS) else whole
