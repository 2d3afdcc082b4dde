"""Inviting, and joining by an invitation."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from allauth.account.models import EmailAddress
from django.db import IntegrityError, transaction
from django.utils import timezone

from coop.people import hooks
from coop.people.actions.households import OWN_OR_COORDINATOR, open_household
from coop.people.changes import record_change
from coop.people.errors import (
    AlreadyMember,
    InvitationGone,
    NameTaken,
    Refused,
    TooLate,
    WrongAddress,
)
from coop.people.invitations import GOOD_FOR, gone, owner_of
from coop.people.limits import DAY_SECONDS, spend
from coop.people.locks import lock_people
from coop.people.models import ROLES, Household, Invitation, Member, User
from coop.people.rights import can_invite_households, can_invite_into, can_withdraw, require

MOST_A_DAY = 60
MOST_TO_ONE_ADDRESS_A_DAY = 4
WHY_GONE = {
    "used": "This invitation was used already. Whoever it was sent to can sign in.",
    "withdrawn": "This invitation was withdrawn. Ask the co-op for another.",
    "expired": "This invitation has expired. Ask the co-op to send it again.",
}
SENDER_OR_COORDINATOR = "Only a coordinator, or whoever sent the invitation, can do this."


@dataclass(frozen=True)
class Guest:
    """Who is invited: into `household`, or with a new one of the name `household_name`."""

    email: str
    household: Household | None = None
    household_name: str = ""
    roles: Collection[str] = ()


def invite(guest: Guest, *, by: Member) -> Invitation:
    """Write an invitation, good for two weeks; the caller mails its link.

    Raises NotAllowed, AlreadyMember, NameTaken, Refused for one that is open already, TooMany.
    """
    _require_may_invite(guest, by)
    email = guest.email.lower()
    with transaction.atomic():
        lock_people(by.coop_id)
        _refuse_known(guest, email, by)
        _spend_letter(email, by)
        now = timezone.now()
        invitation = Invitation.objects.create(
            coop=by.coop,
            household=guest.household,
            household_name="" if guest.household else guest.household_name,
            email=email,
            invited_by=by,
            invited_at=now,
            expires_at=now + GOOD_FOR,
            **{role: role in guest.roles for role in ROLES},
        )
        record_change(by.coop, f"Invited {_whom(invitation)}.", coop=by.coop, by=by)
        return invitation


def _whom(invitation: Invitation) -> str:
    """Whom it is for, as all members may read it: without the address."""
    if invitation.household:
        return f"somebody into {invitation.household.name}"
    return f"a new household, {invitation.household_name}"


def _require_may_invite(guest: Guest, by: Member) -> None:
    if guest.household is None or guest.roles:
        require(can_invite_households(by))
    else:
        require(can_invite_into(by, guest.household), OWN_OR_COORDINATOR)


def _refuse_known(guest: Guest, email: str, by: Member) -> None:
    members = by.coop.members.filter(left_at__isnull=True)
    if members.filter(user__email=email).exists():
        raise AlreadyMember("Somebody with this address is a member already.", field="email")
    unused = by.coop.invitations.filter(accepted_at__isnull=True, withdrawn_at__isnull=True)
    if unused.filter(email=email, expires_at__gt=timezone.now()).exists():
        raise Refused(
            "This address has an open invitation. Send that one again, or withdraw it.",
            field="email",
        )
    if guest.household is None:
        _refuse_taken_name(guest.household_name, by)


def _refuse_taken_name(name: str, by: Member) -> None:
    if by.coop.households.filter(name__iexact=name).exists():
        raise NameTaken(
            f"This co-op has a household named {name} already. Invite them into it, or choose "
            "another name.",
            field="household_name",
        )


def _spend_letter(email: str, by: Member) -> None:
    spend(f"invite:{by.user_id}", at_most=MOST_A_DAY, seconds=DAY_SECONDS)
    spend(f"letter:{email}", at_most=MOST_TO_ONE_ADDRESS_A_DAY, seconds=DAY_SECONDS)


def withdraw_invitation(invitation_id: int, *, by: Member) -> Invitation:
    """Make a link useless. Raises NotAllowed, TooLate."""
    with transaction.atomic():
        invitation = _lock_unused(invitation_id, by)
        invitation.withdrawn_at = timezone.now()
        invitation.save(update_fields=["withdrawn_at"])
        sentence = f"Withdrew an invitation: {_whom(invitation)}."
        record_change(by.coop, sentence, coop=by.coop, by=by)
        return invitation


def renew_invitation(invitation_id: int, *, by: Member) -> Invitation:
    """Give an unused invitation two weeks from now; the caller mails the new link.

    The link sent before is void. Raises NotAllowed, TooLate, TooMany.
    """
    with transaction.atomic():
        invitation = _lock_unused(invitation_id, by)
        _spend_letter(invitation.email, by)
        invitation.expires_at = timezone.now() + GOOD_FOR
        invitation.save(update_fields=["expires_at"])
        return invitation


def _lock_unused(invitation_id: int, by: Member) -> Invitation:
    lock_people(by.coop_id)
    invitation = Invitation.objects.select_related("coop", "household", "invited_by").get(
        pk=invitation_id, coop=by.coop
    )
    require(can_withdraw(by, invitation), SENDER_OR_COORDINATOR)
    if invitation.accepted_at or invitation.withdrawn_at:
        raise TooLate(WHY_GONE["used" if invitation.accepted_at else "withdrawn"])
    return invitation


def join_as_new_user(
    invitation: Invitation, *, name: str, password: str | None, household_name: str
) -> Member:
    """Make an account for the invited address, and join with it.

    The letter reached the address, so the address counts as verified: a sign-in code can be sent
    to it. Raises InvitationGone, NameTaken, and Refused when the address has an account.
    """
    with transaction.atomic():
        hooks.lock_first(invitation.coop_id)
        lock_people(invitation.coop_id)
        invitation.refresh_from_db(fields=["accepted_at", "withdrawn_at", "expires_at"])
        if why := gone(invitation, timezone.now()):
            raise InvitationGone(WHY_GONE[why])
        user = _new_user(invitation.email, password, name)
        return join(invitation, household_name=household_name, by=user)


def _new_user(email: str, password: str | None, name: str) -> User:
    try:
        with transaction.atomic():
            user = User.objects.create_user(email, password, name=name)
            EmailAddress.objects.create(user=user, email=user.email, verified=True, primary=True)
            return user
    except IntegrityError as refusal:
        sentence = "This address has an account already. Sign in with it to join."
        raise Refused(sentence) from refusal


def join(invitation: Invitation, *, household_name: str = "", by: User) -> Member:
    """Use an invitation: become a member of its household, which is opened when it is new.

    Raises InvitationGone, WrongAddress, AlreadyMember, NameTaken.
    """
    with transaction.atomic():
        hooks.lock_first(invitation.coop_id)
        lock_people(invitation.coop_id)
        invitation = Invitation.objects.select_related("coop", "household", "invited_by").get(
            pk=invitation.pk
        )
        _require_usable(invitation, by)
        member = _new_member(invitation, _household_of(invitation, household_name), by)
        invitation.accepted_at, invitation.accepted_by = member.joined_at, member
        invitation.save(update_fields=["accepted_at", "accepted_by"])
        hooks.tell_member_changed(member)
        hooks.tell_came_or_left(member.coop)
        sentence = f"{member.name} joined, invited by {invitation.invited_by.name}."
        record_change(member.household, sentence, coop=member.coop, by=member)
        return member


def _require_usable(invitation: Invitation, user: User) -> None:
    if why := gone(invitation, timezone.now()):
        raise InvitationGone(WHY_GONE[why])
    if owner_of(invitation) != user:
        raise WrongAddress("This invitation was sent to another address than yours.")


def _household_of(invitation: Invitation, name: str) -> Household:
    household = invitation.household
    if household is None:
        try:
            return open_household(invitation.coop, name or invitation.household_name)
        except NameTaken as taken:
            raise NameTaken(taken.sentence, field="household_name") from taken
    if household.left_at:  # a household comes back with its first member
        household.left_at = None
        household.save(update_fields=["left_at"])
    return household


def _new_member(invitation: Invitation, household: Household, user: User) -> Member:
    try:
        with transaction.atomic():
            return Member.objects.create(
                coop=invitation.coop,
                household=household,
                user=user,
                name=user.name,
                joined_at=timezone.now(),
                **{role: getattr(invitation, role) for role in ROLES},
            )
    except IntegrityError as refusal:
        raise AlreadyMember("You are a member of this co-op already.") from refusal
