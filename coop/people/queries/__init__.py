"""What reads people. Every query starts from a co-op, a member or a user."""

from coop.people.queries.households import (
    former_households_in,
    household_for,
    households_in,
    is_last_of_household,
    member_for,
)
from coop.people.queries.invitations import (
    invitation_for,
    invitations_into,
    invitations_of,
    open_invitations_in,
)
from coop.people.queries.memberships import coops_of, memberships_of

__all__ = [
    "coops_of",
    "former_households_in",
    "household_for",
    "households_in",
    "invitation_for",
    "invitations_into",
    "invitations_of",
    "is_last_of_household",
    "member_for",
    "memberships_of",
    "open_invitations_in",
]
