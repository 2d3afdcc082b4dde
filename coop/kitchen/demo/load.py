"""Loading the demo co-op, all or nothing."""

from __future__ import annotations

import operator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import time_machine
from django.db import transaction
from django.utils import timezone

from coop.buying.demo.people import Members, found_coop, list_farms
from coop.buying.demo.script import Script, read_script
from coop.buying.demo.season import stories
from coop.kitchen.demo.bookings import booking_events
from coop.kitchen.demo.cooking import kitchen_events
from coop.kitchen.demo.jars import jar_events
from coop.kitchen.demo.notices import Post, letter_events, read_what_is_old
from coop.kitchen.demo.script import KitchenScript, Stage, read_kitchen_script
from coop.kitchen.demo.things import thing_events
from coop.people.models import Coop


def load_demo() -> bool:
    """Make the demo co-op and play its season up to now. Returns False when it is there already."""
    script, kitchen = read_script(), read_kitchen_script()
    if Coop.objects.filter(slug=script.coop["slug"]).exists():
        return False
    now = timezone.now().astimezone(ZoneInfo(script.coop["time_zone"]))
    with transaction.atomic():
        members = _begin(script, now + timedelta(days=kitchen.first_day() - 2))
        _play(script, kitchen, Stage(members, now))
    return True


def _begin(script: Script, beginning: datetime) -> Members:
    with time_machine.travel(beginning, tick=False):
        members = found_coop(script)
        founder = members[script.households[0]["email"]]
        list_farms(script, founder.coop, by=founder)
    return members


def _play(script: Script, kitchen: KitchenScript, stage: Stage) -> None:
    """Do everything in the order of time, so that each act finds the season as it stood then."""
    buys = stories(script, stage.members, stage.now)
    events = [
        *(event for story in buys for event in story.events()),
        *jar_events(kitchen, stage),
        *thing_events(kitchen, stage),
        *booking_events(kitchen, stage),
        *kitchen_events(kitchen, stage),
        *letter_events(kitchen, stage),
    ]
    post = Post(kitchen, stage)
    for moment, act in sorted(events, key=operator.itemgetter(0)):
        post.go_out_before(moment)
        with time_machine.travel(moment, tick=False):
            act()
    post.go_out(stage.now)
    read_what_is_old(kitchen, stage)


def sign_ins() -> list[str]:
    """Who can sign in to the demo co-op, and as what."""
    script = read_script()
    lines = [f"Demo sign-ins (password for all: {script.coop['password']})"]
    shown = [row for row in script.households if row["roles"]]
    with_roles = {row["household"] for row in shown}
    shown.append(next(row for row in script.households if row["household"] not in with_roles))
    lines += [f"  {row['email']:<32} {row['roles'] or 'member'}" for row in shown]
    return lines
