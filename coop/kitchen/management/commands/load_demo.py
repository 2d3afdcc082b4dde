"""Loads the demo co-op: a season of buys and of jars, with invented people and farms."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from coop.kitchen.demo.load import load_demo, sign_ins
from coop.people.errors import Refused


class Command(BaseCommand):
    """Load the demo co-op once; a second run says that it is there."""

    help = "Loads the demo co-op into the database, once, and says who can sign in to it."

    def handle(self, *args: Any, **options: Any) -> None:
        """Load it, unless it is there, and print its sign-ins."""
        try:
            loaded = load_demo()
        except Refused as refusal:
            raise CommandError(str(refusal)) from refusal
        if not loaded:
            self.stdout.write("The demo co-op is here already; nothing was changed.")
        for line in sign_ins():
            self.stdout.write(line)
