"""Letters: what stands in them, whatever stands in a matter."""

import pytest

from coop.notices.mailing.letters import compose
from tests.web.notice_factories import know_the_kinds, make_mail

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


def composed(mail):
    related = mail.notices.select_related("matter", "member__user", "member__coop")
    return compose(mail, list(related))


def test_the_first_line_says_what_to_do(member):
    letter = composed(make_mail(member))
    assert letter.body.splitlines()[0] == "Fetch them from the barn."
