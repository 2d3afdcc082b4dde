"""What the kitchen has to tell: seals to try, suspect jars, warnings."""

from coop.kitchen.notices import kinds, loads, warnings
from coop.notices.kinds import declare
from coop.notices.sources import Source, sources
from coop.people import hooks


def register() -> None:
    """Make kinds and causes known; called once, when the app is ready."""
    declare(*kinds.KINDS)
    sources.append(Source(loads.CAUSE, loads.live, loads.renew))
    sources.append(Source(warnings.CAUSE, warnings.live, warnings.renew))
    hooks.household_kept.append(loads.renew_of)
