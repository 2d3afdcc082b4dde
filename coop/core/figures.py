"""How figures are written: money, quantities, percentages, lists of words. No Django, no clock."""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

from babel import Locale, UnknownLocaleError
from babel.numbers import format_currency, format_decimal, get_currency_symbol

MINUS = "\N{MINUS SIGN}"

#: Digits after the point by ISO 4217, where they are not two (from memory; checked against CLDR).
DIGITS_TO_CURRENCIES = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
MINOR_DIGITS = {
    currency: digits
    for digits, currencies in DIGITS_TO_CURRENCIES.items()
    for currency in currencies.split()
}

#: Base steps in one shown unit, by the measure of a line; what is counted is shown as it is.
STEPS_IN_UNIT = {"weight": 10}
POUND = "lb"
PIECE = "piece"


def minor_digits(currency: str) -> int:
    """Digits after the point of a currency (ISO 4217 code, such as "USD").

    >>> minor_digits("USD"), minor_digits("JPY")
    (2, 0)
    """
    return MINOR_DIGITS.get(currency, 2)


def money(amount_cents: int, currency: str) -> str:
    """An amount in the currency's minor unit, with its symbol and a real minus sign.

    >>> money(3840, "USD"), money(500, "JPY"), money(-5, "USD") == MINUS + "$0.05"
    ('$38.40', '¥500', True)
    """
    digits, locale = minor_digits(currency), _locale_of(currency)
    amount = Decimal(abs(amount_cents)).scaleb(-digits)
    # A symbol of letters stands apart from its number: BHD 3.840.
    apart = " " if get_currency_symbol(currency, locale)[-1].isalpha() else ""
    pattern = f"¤{apart}#,##0" + ("." + "0" * digits if digits else "")
    text = format_currency(amount, currency, pattern, locale=locale, currency_digits=False)
    return MINUS + text if amount_cents < 0 else text


def _locale_of(currency: str) -> str:
    """The English of the currency's own country, so that a Canadian dollar is a plain $."""
    try:
        Locale.parse(f"en_{currency[:2]}")
    except (UnknownLocaleError, ValueError):
        return "en"
    return f"en_{currency[:2]}"


def amount(steps: int | Fraction, measure: str) -> str:
    """The bare number of a quantity counted in base steps of its measure, to one decimal at most.

    >>> amount(577, "weight"), amount(700, "weight"), amount(12, "count")
    ('57.7', '70', '12')
    """
    tenths = round(Fraction(steps) * 10 / STEPS_IN_UNIT.get(measure, 1))
    text = format_decimal(Decimal(abs(tenths)) / 10, "#,##0.#", locale="en")
    return MINUS + text if tenths < 0 else text


def mixed_number(value: Fraction) -> str:
    """An exact number as a measuring spoon or a ruler reads: whole ones, then a fraction.

    >>> mixed_number(Fraction(5, 2)), mixed_number(Fraction(1, 4)), mixed_number(Fraction(7))
    ('2 1/2', '1/4', '7')
    """
    whole, rest = divmod(value, 1)
    return " ".join(str(part) for part in (whole, rest) if part) or "0"


def unit_word(measure: str, *, piece: str = PIECE, steps: int | Fraction = 1) -> str:
    """The word after the number: lb, or the piece that is counted, as the number wants it.

    >>> unit_word("weight"), unit_word("count", piece="ear", steps=12), unit_word("count")
    ('lb', 'ears', 'piece')
    """
    return POUND if measure in STEPS_IN_UNIT else plural(steps, piece)


def quantity(steps: int | Fraction, measure: str, *, piece: str = PIECE) -> str:
    """A quantity counted in base steps, with its unit.

    >>> quantity(577, "weight"), quantity(12, "count", piece="ear"), quantity(1, "count")
    ('57.7 lb', '12 ears', '1 piece')
    """
    word = unit_word(measure, piece=piece, steps=steps)
    return f"{amount(steps, measure)} {word}"


def plural(count: int | Fraction, noun: str) -> str:
    """The noun as the count wants it: bushel, bushels; box, boxes; each, each.

    >>> plural(1, "bushel"), plural(6, "box"), plural(0, "berry"), plural(3, "each")
    ('bushel', 'boxes', 'berries', 'each')
    """
    if count == 1 or noun == "each":
        return noun
    if noun.endswith(("s", "x", "ch", "sh")):
        return noun + "es"
    if noun.endswith("y") and noun[-2:-1] not in "aeiou":
        return noun[:-1] + "ies"
    return noun + "s"


def counted(count: int, noun: str) -> str:
    """A count with its noun.

    >>> counted(6, "bushel")
    '6 bushels'
    """
    return f"{format_decimal(count, '#,##0', locale='en')} {plural(count, noun)}"


def unit_price(
    amount_cents: int, steps: int, *, measure: str, currency: str, piece: str = PIECE
) -> str:
    """The price of one pound or piece, to the nearest minor unit; empty where nothing came.

    >>> unit_price(9600, 2080, measure="weight", currency="USD")
    '$0.46 a lb'
    """
    if not steps:
        return ""
    per_unit = Fraction(amount_cents * STEPS_IN_UNIT.get(measure, 1), steps)
    word = unit_word(measure, piece=piece)
    return f"{money(round(per_unit), currency)} a {word}"


def percent(part: int | Fraction, whole: int | Fraction) -> str:
    """A part of a whole in whole percent; empty where there is no whole.

    >>> percent(208, 240), percent(1, 0)
    ('87%', '')
    """
    return f"{round(Fraction(part) / Fraction(whole) * 100)}%" if whole else ""


def join_words(words: Iterable[object]) -> str:
    """Words as a sentence lists them.

    >>> join_words(["Adeyemi", "Brandt", "Castell"])
    'Adeyemi, Brandt and Castell'
    """
    *first, last = [str(word) for word in words] or [""]
    return f"{', '.join(first)} and {last}" if first else last
