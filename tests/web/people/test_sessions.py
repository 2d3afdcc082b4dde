"""Sessions that have run out are dropped at night."""

from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session

from coop.people.tasks import drop_expired_sessions


def test_only_sessions_that_have_run_out_are_dropped(as_member, as_stranger, clock):
    Session.objects.filter(pk=as_member.session.session_key).update(
        expire_date=as_member.session.get_expiry_date() - timedelta(days=30)
    )
    drop_expired_sessions()
    assert Session.objects.get().pk == as_stranger.session.session_key


@pytest.mark.sqlite  # about the page alone
def test_a_wrong_password_is_said_in_words_of_signing_in(signed_out, member):
    typed = {"login": member.user.email, "password": "not-the-password"}
    said = signed_out.post("/account/login/", typed).content.decode()
    assert "Not signed in." in said
    assert "Not saved yet." not in said
