"""An invitation goes out by mail, to one address, from those who may send one."""

import re
from datetime import timedelta

import pytest

from coop.people.models import Invitation
from tests.web import factories

NEWCOMERS = {"email": "Kit.Moss@Example.test", "household": "", "household_name": "Moss"}


def letter_link(letter):
    return re.search(r"http://testserver(/join/\S+)", letter.body).group(1)


def test_a_coordinator_invites_a_new_household_by_mail(as_coordinator, coop, mailoutbox):
    response = as_coordinator.post(f"/{coop.slug}/invitations/new/", NEWCOMERS, follow=True)
    assert "on its way to kit.moss@example.test" in response.content.decode()
    assert [letter.to for letter in mailoutbox] == [["kit.moss@example.test"]]
    assert "Ruth Adeyemi invites you" in mailoutbox[0].body


def test_an_invitation_is_good_for_two_weeks(as_coordinator, coop):
    as_coordinator.post(f"/{coop.slug}/invitations/new/", NEWCOMERS)
    assert Invitation.objects.get().expires_at == factories.NOW + timedelta(days=14)


def test_it_may_give_roles_from_the_start(as_coordinator, coop):
    as_coordinator.post(f"/{coop.slug}/invitations/new/", NEWCOMERS | {"roles": ["treasurer"]})
    invitation = Invitation.objects.get()
    assert invitation.treasurer
    assert not invitation.coordinator


def test_a_member_invites_into_the_own_household(as_member, coop, household):
    typed = {"email": "kit@example.test", "household": household.pk}
    assert as_member.post(f"/{coop.slug}/invitations/new/", typed).status_code == 302
    assert Invitation.objects.get().household == household


def test_a_member_cannot_invite_into_another_household(as_member, coop, other_household):
    typed = {"email": "kit@example.test", "household": other_household.pk}
    address = f"/{coop.slug}/invitations/new/?household={other_household.pk}"
    assert as_member.post(address, typed).status_code == 403
    assert not Invitation.objects.exists()


def test_a_member_cannot_invite_a_new_household_or_give_roles(as_member, coop, household):
    typed = NEWCOMERS | {"roles": ["coordinator"]}
    assert as_member.post(f"/{coop.slug}/invitations/new/", typed).status_code == 422
    typed["household"] = household.pk
    as_member.post(f"/{coop.slug}/invitations/new/", typed)
    assert not Invitation.objects.get().coordinator


def test_another_coops_household_is_nowhere(as_coordinator, coop, outsider):
    address = f"/{coop.slug}/invitations/new/?household={outsider.household_id}"
    assert as_coordinator.get(address).status_code == 404
    assert as_coordinator.get(f"/{coop.slug}/invitations/new/?household=x").status_code == 404


def test_who_is_a_member_already_is_not_invited_again(as_coordinator, coop, member, mailoutbox):
    typed = NEWCOMERS | {"email": member.user.email.upper()}
    response = as_coordinator.post(f"/{coop.slug}/invitations/new/", typed)
    assert response.status_code == 422
    assert "is a member already" in response.content.decode()
    assert not mailoutbox


def test_an_address_has_one_open_invitation(as_coordinator, coop):
    as_coordinator.post(f"/{coop.slug}/invitations/new/", NEWCOMERS)
    again = NEWCOMERS | {"household_name": "Moss and Fern"}
    response = as_coordinator.post(f"/{coop.slug}/invitations/new/", again)
    assert "has an open invitation" in response.content.decode()
    assert Invitation.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    (
        ("email", "kit at home", "valid email address"),
        ("household_name", "", "Give the new household a name"),
        ("household_name", "castell", "has a household named castell already"),
    ),
)
def test_what_cannot_be_right_is_refused_at_its_field(
    as_coordinator, coop, household, field, typed, sentence
):
    response = as_coordinator.post(f"/{coop.slug}/invitations/new/", NEWCOMERS | {field: typed})
    assert response.status_code == 422
    assert sentence in response.context["form"].errors[field][0]


def test_a_withdrawn_invitation_is_gone_from_the_list(as_coordinator, coordinator):
    invitation = factories.make_invitation(coordinator)
    slug = coordinator.coop.slug
    response = as_coordinator.post(f"/{slug}/invitations/{invitation.pk}/withdraw/", follow=True)
    assert "is withdrawn" in response.content.decode()
    assert "Invited, not joined yet" not in response.content.decode()


def test_sent_again_it_has_two_more_weeks_and_the_old_link_is_void(
    as_coordinator, signed_out, coop, mailoutbox, clock
):
    as_coordinator.post(f"/{coop.slug}/invitations/new/", NEWCOMERS)
    clock.shift(timedelta(days=13))
    invitation = Invitation.objects.get()
    as_coordinator.post(f"/{coop.slug}/invitations/{invitation.pk}/resend/")
    first, second = map(letter_link, mailoutbox)
    assert signed_out.get(first).status_code == 404
    assert signed_out.get(second).status_code == 200


@pytest.mark.parametrize("act", ("withdraw", "resend"))
def test_only_the_sender_or_a_coordinator_may(
    as_member, as_outsider, coordinator, member, act, mailoutbox
):
    invitation = factories.make_invitation(coordinator)
    address = f"/{coordinator.coop.slug}/invitations/{invitation.pk}/{act}/"
    assert as_member.post(address).status_code == 403
    assert as_outsider.post(address).status_code == 404
    invitation.refresh_from_db()
    assert invitation.withdrawn_at is None
    assert not mailoutbox


@pytest.mark.parametrize("act", ("withdraw", "resend"))
def test_a_used_invitation_is_past_that(as_coordinator, coordinator, member, act):
    invitation = factories.make_invitation(
        coordinator, accepted_at=factories.NOW, accepted_by=member
    )
    address = f"/{coordinator.coop.slug}/invitations/{invitation.pk}/{act}/"
    response = as_coordinator.post(address)
    assert response.status_code == 409
    assert "used already" in response.content.decode()


def test_another_coops_invitation_is_nowhere(as_coordinator, coop, outsider):
    invitation = factories.make_invitation(outsider)
    address = f"/{coop.slug}/invitations/{invitation.pk}/withdraw/"
    assert as_coordinator.post(address).status_code == 404


def test_one_address_gets_few_letters_a_day(as_coordinator, coordinator, mailoutbox):
    invitation = factories.make_invitation(coordinator)
    address = f"/{coordinator.coop.slug}/invitations/{invitation.pk}/resend/"
    statuses = [as_coordinator.post(address).status_code for _ in range(5)]
    assert statuses == [302, 302, 302, 302, 429]
    assert len(mailoutbox) == 4


def test_a_letter_that_cannot_be_sent_is_said(as_coordinator, coop, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    response = as_coordinator.post(f"/{coop.slug}/invitations/new/", NEWCOMERS, follow=True)
    assert "no letter could be sent" in response.content.decode()
    assert Invitation.objects.count() == 1


def test_what_a_member_has_sent_is_void_once_they_leave(as_coordinator, member, clock):
    invitation = factories.make_invitation(member, household=member.household)
    factories.make_member(member.household)
    as_coordinator.post(f"/{member.coop.slug}/members/{member.pk}/leave/")
    invitation.refresh_from_db()
    assert invitation.withdrawn_at


def test_the_history_that_all_members_read_names_no_address(as_coordinator, as_member, coop):
    as_coordinator.post(f"/{coop.slug}/invitations/new/", NEWCOMERS)
    page = as_member.get(f"/{coop.slug}/settings/").content.decode()
    assert "Invited a new household, Moss." in page
    assert "kit.moss" not in page
