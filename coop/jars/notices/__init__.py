"""What jars have to tell: loans asked, agreed and ended, and jars that are due back."""

from coop.jars.notices import kinds, loans
from coop.notices.kinds import declare
from coop.notices.sources import Source, sources
from coop.people import hooks


def register() -> None:
    """Make kinds and causes known; called once, when the app is ready."""
    declare(*kinds.KINDS)
    sources.append(Source(loans.CAUSE, loans.live, loans.renew))
    hooks.household_kept.append(loans.renew_of)
