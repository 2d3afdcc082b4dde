"""What a mail server said, in plain words.

Servers add a code of three numbers to their answer, whose meaning is RFC 3463's (sections 3.2 to
3.8); the plain reply codes are RFC 5321's (section 4.2.3).
"""

from __future__ import annotations

import re

ENHANCED = re.compile(r"\b[45]\.(\d{1,3})\.(\d{1,3})\b")
PLAIN = re.compile(r"\b(5\d\d)\b")

#: By subject and detail of RFC 3463.
MEANINGS = {
    (1, 1): "There is no such address.",
    (1, 2): "The part of the address after the @ does not exist.",
    (1, 3): "The address is not written as an address can be.",
    (1, 6): "The person has moved to another address.",
    (1, 10): "The part of the address after the @ takes no mail.",  # RFC 7505
    (2, 1): "The mailbox is closed.",
    (2, 2): "The mailbox is full.",
    (2, 3): "The mail is too long for this mailbox.",
    (3, 4): "The mail is too long for this server.",
    (4, 4): "The part of the address after the @ leads to no mail server.",
    (7, 1): "The server does not take mail from this site.",
}
#: By subject alone, where the detail is not among them.
SUBJECTS = {
    1: "The address is wrong.",
    2: "The mailbox takes no mail.",
    4: "No way leads to the mail server.",
    7: "The server does not take mail from this site.",
}
CODES = {
    "550": "The mailbox cannot be had, or does not exist.",
    "551": "The person has another address.",
    "552": "The mailbox is full.",
    "553": "The address is not written as an address can be.",
}
UNKNOWN = "The mail server does not take it."
#: How the words begin of what was given up after days of trying, and what that comes to.
GIVEN_UP = "Given up after"
FOR_DAYS = "No mail server took it for days."
#: What stands in place of the address, which its owner has shown to nobody.
THE_ADDRESS = "the address"
#: A name before the @ no longer than this may be any word of the sentence.
SHORT = 3


def in_plain_words(trouble: str) -> str:
    """What an answer means.

    >>> in_plain_words("550 5.1.1 <ines@x.test>: Recipient address rejected")
    'There is no such address.'
    >>> in_plain_words("552 no room"), in_plain_words("554 go away")
    ('The mailbox is full.', 'The mail server does not take it.')
    """
    if found := ENHANCED.search(trouble):
        subject, detail = int(found[1]), int(found[2])
        meaning = MEANINGS.get((subject, detail)) or SUBJECTS.get(subject)
        if meaning:
            return meaning
    code = PLAIN.search(trouble)
    if trouble.startswith(GIVEN_UP):
        return FOR_DAYS
    return CODES.get(code[1], UNKNOWN) if code else UNKNOWN


def without_address(trouble: str, address: str) -> str:
    """What a server said, word by word on one line, and without the address.

    >>> without_address("550 5.1.1 <ines@x.test>: Recipient address rejected", "ines@x.test")
    '550 5.1.1 the address: Recipient address rejected'
    """
    said = " ".join("".join(each if each.isprintable() else " " for each in trouble).split())
    account = address.partition("@")[0]
    hidden = re.sub(re.escape(address), THE_ADDRESS, said, flags=re.IGNORECASE) if address else said
    if len(account) > SHORT:
        hidden = re.sub(rf"\b{re.escape(account)}\b", THE_ADDRESS, hidden, flags=re.IGNORECASE)
    return hidden.replace(f"<{THE_ADDRESS}>", THE_ADDRESS)


def host_of(address: str) -> str:
    """The part after the @: enough to see a slip in it, and not where the person can be written to.

    >>> host_of("ines@gmial.test")
    'gmial.test'
    """
    return address.rpartition("@")[2]
