"""The letter and the colour of a household, so that colour never speaks alone."""

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


def _stem(name: str) -> str:
    text = name.strip()
    for article in ARTICLES:
        if text.lower().startswith(article):
            return text[len(article) :].strip()
    return text
