"""What equipment tells whom and when: kinds of notices, and what each cause has to say."""

from __future__ import annotations


def register() -> None:
    """Make the kinds and the causes known; called once, when the app is ready."""
    from coop.equipment.notices import bookings, kinds, news, things  # models are there only now
    from coop.equipment.notices.changes import hook_in
    from coop.notices.kinds import declare
    from coop.notices.sources import Source, sources

    declare(*kinds.ALL)
    sources.extend(
        [
            Source("booking", bookings.live, bookings.renew),
            Source("thing", things.live, things.renew),
            Source("told", news.live, news.renew),
        ]
    )
    hook_in()
