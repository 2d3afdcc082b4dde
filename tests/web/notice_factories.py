"""Rows of notices for tests, every argument defaulted: a test sets only what it is about."""

from typing import Any

from django.utils import timezone

from coop.core.reminders import before
from coop.notices.kinds import AT_ONCE, Kind, Timing, declare
from coop.notices.models import Mail, Matter, Notice, Writing
from coop.notices.says import Say
from coop.people.models import Household, Member
from tests.web.factories import make_member, number

#: Kinds of tests alone: news, and something that starts and stands in the calendar.
NEWS = Kind("test_news", "Tests", "Something happened", AT_ONCE, can_wait=True)
START = Kind(
    "test_start",
    "Tests",
    "Something starts",
    (
        Timing("1 day and 2 hours before", (before(hours=24), before(hours=2))),
        Timing("6 hours before", (before(hours=6),)),
    ),
    in_calendar=True,
    example="something that starts",
)


def know_the_kinds() -> None:
    """Declare them; twice does no harm."""
    declare(NEWS, START)


def say(to: Household | Member, **fields: Any) -> Say:
    """News of this moment."""
    made = number()
    defaults: dict[str, Any] = {
        "key": f"said-{made}",
        "kind": NEWS.code,
        "at": timezone.now(),
        "title": f"The peaches came ({made})",
        "to_do": "Fetch them from the barn.",
        "path": "/",
    }
    return Say(to=to, **defaults | fields)


def make_matter(to: Household | Member | None = None, **fields: Any) -> Matter:
    """A matter as it stands, without its notices."""
    made, now = number(), timezone.now()
    to = to or make_member()
    whom = {"household": to} if isinstance(to, Household) else {"member": to}
    defaults: dict[str, Any] = {
        "coop": to.coop,
        "kind": NEWS.code,
        "about": f"test:{made}",
        "key": f"test:{made}/said",
        "at": now,
        "title": f"The peaches came ({made})",
        "to_do": "Fetch them from the barn.",
        "path": "/",
        "button": "Open it",
        "made_at": now,
        "changed_at": now,
    }
    return Matter.objects.create(**whom | defaults | fields)


def make_notice(member: Member | None = None, **fields: Any) -> Notice:
    """A notice to a member that is due by mail and on the site."""
    now = timezone.now()
    member = member or make_member()
    matter = fields.pop("matter", None) or make_matter(member)
    defaults: dict[str, Any] = {"lead": "0m", "due_at": now, "mail_at": now, "made_at": now}
    return Notice.objects.create(matter=matter, member=member, **defaults | fields)


def make_mail(member: Member | None = None, *, notices: int = 1, **fields: Any) -> Mail:
    """A letter that waits to be sent, with so many notices in it."""
    now = timezone.now()
    member = member or make_member()
    defaults: dict[str, Any] = {
        "coop": member.coop,
        "address": member.user.email,
        "made_at": now,
        "try_at": now,
    }
    mail = Mail.objects.create(member=member, **defaults | fields)
    for _ in range(notices):
        make_notice(member, mail=mail)
    return mail


def make_writing(by: Member | None = None, **fields: Any) -> Writing:
    """A letter as it was sent, without what was told of it."""
    by = by or make_member()
    defaults: dict[str, Any] = {
        "coop": by.coop,
        "about": "buy:1",
        "title": "Bring boxes",
        "text": "The barn has none.",
    }
    return Writing.objects.create(by=by, **defaults | fields)
