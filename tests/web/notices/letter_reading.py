"""Letters as a mail program reads them: the bytes that go out, read by Python's email package."""

from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any

from bs4 import BeautifulSoup
from django.core.mail import EmailMultiAlternatives

from coop.notices.mailing.letters import compose
from coop.notices.models import Mail, Matter, Notice
from coop.people.models import Coop, Member, User
from tests.web.factories import NOW

Letter = EmailMultiAlternatives


def composed(mail: Mail) -> Letter:
    """The letter of a mail, its notices fetched as whoever carries it does."""
    mail = Mail.objects.select_related("coop", "member__user").get(pk=mail.pk)
    return compose(mail, list(mail.notices.select_related("matter__coop").order_by("pk")))


def letter_saying(*more: dict[str, Any], coop: str = "Cottonwood Larder", **fields: Any) -> Letter:
    """A letter made of rows that no database has seen: of one matter, and of `more`."""
    ours = Coop(pk=1, name=coop, slug="cottonwood", time_zone="America/Denver")
    member = Member(pk=1, coop=ours, user=User(pk=1, email="ines@example.test"))
    plain = {"kind": "test_news", "coop": ours, "at": NOW, "path": "/", "button": "Open it"}
    plain |= {"title": "Peaches", "to_do": "Fetch them.", "details": []}
    matters = [Matter(pk=pk, **plain | said) for pk, said in enumerate([fields, *more])]
    mail = Mail(coop=ours, member=member, address=member.user.email, made_at=NOW)
    return compose(mail, [Notice(matter=matter, member=member) for matter in matters])


def read(raw: bytes) -> EmailMessage:
    """The letter in these bytes."""
    return message_from_bytes(raw, policy=policy.default)


def read_back(letter: Letter) -> EmailMessage:
    """The letter, written out and read again."""
    return read(letter.message().as_bytes(linesep="\r\n"))


def text_of(letter: EmailMessage) -> str:
    """Its text part, with line ends as Python writes them."""
    return letter.get_body(("plain",)).get_content().replace("\r\n", "\n")


def stop_address_of(letter: EmailMessage) -> str:
    """The address that stops its kinds, as its header names it."""
    return letter["List-Unsubscribe"].strip().removeprefix("<").removesuffix(">")


def page_of(letter: EmailMessage) -> BeautifulSoup:
    """Its HTML part."""
    return BeautifulSoup(letter.get_body(("html",)).get_content(), "html.parser")
