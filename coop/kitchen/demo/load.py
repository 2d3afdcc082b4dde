"""Loading the demo co-op, all or nothing."""

from __future__ import annotations

import operator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import time_machine
from django.db import transaction
from django.utils import timezone

from coop.buying.demo.people import found_coop, list_farms
from coop.buying.demo.script import Script, read_script
from coop.buying.demo.season import stories
from coop.people.models import Coop


def load_demo() -> bool:
    """Make the demo co-op and play its season up to now. Returns False when it is there already."""
    script = read_script()
    if Coop.objects.filter(slug=script.coop["slug"]).exists():
        return False
    now = timezone.now().astimezone(ZoneInfo(script.coop["time_zone"]))
    with transaction.atomic():
        _play(script, now)
    return True


def _play(script: Script, now: datetime) -> None:
    """Do everything in the order of time, so that each act finds the season as it stood then."""
    beginning = now + timedelta(days=min(buy["posted"] for buy in script.buys) - 2)
    with time_machine.travel(beginning, tick=False):
        members = found_coop(script)
        founder = members[script.households[0]["email"]]
        list_farms(script, founder.coop, by=founder)
    events = [event for story in stories(script, members, now) for event in story.events()]
    for moment, act in sorted(events, key=operator.itemgetter(0)):
        with time_machine.travel(moment, tick=False):
            act()


def sign_ins() -> list[str]:
    """Who can sign in to the demo co-op, and as what."""
    script = read_script()
    lines = [f"Demo sign-ins (password for all: {script.coop['password']})"]
    shown = [row for row in script.households if row["roles"]]
    with_roles = {row["household"] for row in shown}
    shown.append(next(row for row in script.households if row["household"] not in with_roles))
    lines += [f"  {row['email']:<32} {row['roles'] or 'member'}" for row in shown]
    return lines
