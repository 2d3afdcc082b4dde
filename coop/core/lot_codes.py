"""Lot codes: a number and its check digit, to be written on a lid and read out on the telephone."""

import re

#: Row: the digit so far. Column: the next digit. Source: H. M. Damm, "Total anti-symmetrische
#: Quasigruppen", dissertation, Philipps-Universität Marburg, 2004 (the group of order 10).
DAMM = (
    (0, 3, 1, 7, 5, 9, 8, 6, 4, 2),
    (7, 0, 9, 2, 1, 5, 4, 8, 6, 3),
    (4, 2, 0, 6, 8, 7, 1, 3, 5, 9),
    (1, 7, 5, 0, 9, 8, 3, 4, 2, 6),
    (6, 1, 2, 3, 0, 4, 5, 9, 7, 8),
    (3, 6, 7, 4, 2, 0, 9, 5, 8, 1),
    (5, 8, 6, 9, 7, 2, 0, 1, 3, 4),
    (8, 9, 4, 5, 3, 6, 2, 0, 1, 7),
    (9, 4, 3, 8, 6, 1, 7, 2, 0, 5),
    (2, 5, 8, 1, 4, 3, 6, 7, 9, 0),
)
MOST_DIGITS = 9
LARGEST_NUMBER = 10 ** (MOST_DIGITS - 1) - 1
_SPOKEN = 2  # digits that are said in one breath


class WrongCode(ValueError):
    """What was typed is not a lot code; `sentence` says why, for the person who typed it."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def code_of(number: int) -> str:
    """The code of a lot: its number, then the check digit.

    Parameters:
        number: 1 to LARGEST_NUMBER.

    Raises: ValueError if the number is out of its bounds.

    >>> code_of(572), code_of(1)
    ('5724', '13')
    """
    if not isinstance(number, int) or not 1 <= number <= LARGEST_NUMBER:
        raise ValueError(f"Lot number {number!r} is not a whole number from 1 to {LARGEST_NUMBER}.")
    return f"{number}{_check_digit(str(number))}"


def read_code(text: str) -> int:
    """The number of the lot whose code was typed.

    Parameters:
        text: the code, however it was written down: spaces, hyphens and dots between the digits
            and a "#" before them do not matter, nor do zeros in front.

    Returns: the number. The check digit catches every single wrong digit and every two neighbours
    that changed places, and nine in ten of other slips. That the lot exists is not checked.

    Raises: WrongCode if there is nothing, something other than digits, too few or too many of
    them, or if the check digit does not fit.

    >>> read_code("#57-24")
    572
    >>> try:
    ...     read_code("5742")
    ... except WrongCode as error:
    ...     print(error.sentence)
    5742 is not a lot code: a digit was misheard or two changed places.
    """
    written = text.strip()
    digits = re.sub(r"[\s.\-\u2010-\u2013]", "", written.removeprefix("#"))
    if not digits:
        raise WrongCode("Type the lot code from the label, such as 5724.")
    if not re.fullmatch(r"[0-9]+", digits):
        raise WrongCode(f"{_short(written)} is not a lot code: a lot code has only digits.")
    digits = digits.lstrip("0")
    if len(digits) < 2:  # noqa: PLR2004  # one for the number, one to check it
        raise WrongCode(f"{_short(written)} is not a lot code: the shortest has two digits.")
    if len(digits) > MOST_DIGITS:
        raise WrongCode(
            f"{_short(written)} is not a lot code: it has more than {MOST_DIGITS} digits."
        )
    if _check_digit(digits) != 0:
        raise WrongCode(
            f"{_short(written)} is not a lot code: a digit was misheard or two changed places."
        )
    return int(digits[:-1])


def spoken(code: str) -> str:
    """The code in groups of two digits, for reading it out; a single digit comes first.

    >>> spoken(code_of(572)), spoken("12345")
    ('57 24', '1 23 45')
    """
    odd = len(code) % _SPOKEN
    groups = [code[at : at + _SPOKEN] for at in range(odd, len(code), _SPOKEN)]
    return " ".join([code[:odd], *groups] if odd else groups)


def _check_digit(digits: str) -> int:
    """The digit that belongs after these; 0 where the last of them is the right one already."""
    so_far = 0
    for digit in digits:
        so_far = DAMM[so_far][int(digit)]
    return so_far


def _short(written: str) -> str:
    """What was typed, cut where somebody pasted a page."""
    return written if len(written) <= 2 * MOST_DIGITS else f"{written[: 2 * MOST_DIGITS]}…"
