"""Words that the site does not use for what it tells."""

import re

#: Words of programs, and those that shout. On screen they are notices, letters and mail.
UNSAID = re.compile(
    r"\b(notif\w*|remind\w*|alerts?|inbox|digests?|(un)?subscri\w*|e-?mails?|push|users?"
    r"|deadlines?|please|sorry|oops)\b|!|\.\.\.|…",
    re.IGNORECASE,
)


def unsaid(text: str) -> list[str]:
    """What a text says that it should not."""
    return [found.group() for found in UNSAID.finditer(text)]
