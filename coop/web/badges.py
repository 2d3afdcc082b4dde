"""The letter and the colour of a household, so that colour never speaks alone."""

from collections.abc import Iterable

COLOURS = 8
ARTICLES = ("the ", "a ", "an ")


def initial(name: str) -> str:
    """The letter that stands for a name; a leading article does not count.

    >>> initial("Osgood"), initial("The Brandts"), initial("")
    ('O', 'B', '?')
    """
    return _stem(name)[:1].upper() or "?"


def colour(number: int) -> int:
    """The colour's place in the palette, 1 to 8, from any number that stays with the household.

    >>> colour(1), colour(8), colour(9)
    (1, 8, 1)
    """
    return (number - 1) % COLOURS + 1


def marks(names: Iterable[str]) -> dict[str, str]:
    """A mark for each name: one letter where that is enough, more where two would be alike.

    >>> marks(["Adeyemi", "Brandt", "Brown"])
    {'Adeyemi': 'A', 'Brandt': 'Bra', 'Brown': 'Bro'}
    """
    stems = {name: _stem(name) for name in sorted(set(names))}
    return {
        name: _shortest(stem, [other for key, other in stems.items() if key != name])
        for name, stem in stems.items()
    }


def _stem(name: str) -> str:
    text = name.strip()
    for article in ARTICLES:
        if text.lower().startswith(article):
            return text[len(article) :].strip()
    return text


def _shortest(stem: str, others: list[str]) -> str:
    for length in range(1, len(stem) + 1):
        start = stem[:length].lower()
        if not any(other.lower().startswith(start) for other in others):
            return start.capitalize()
    return stem.capitalize() or "?"
