"""Reading a calendar back: by icalendar, and by the few rules of RFC 5545 alone."""

import re

from django.urls import reverse
from icalendar import Calendar

from coop.notices.actions.feeds import renew_feed

UNESCAPED = {"n": "\n", "N": "\n"}


def address_of(member):
    """A new address of the member's calendar."""
    return reverse("outside:feed", args=[renew_feed(by=member)])


def events_at(client, address):
    """The events at an address, by their titles."""
    calendar = Calendar.from_ical(client.get(address).content)
    return {str(event["SUMMARY"]): event for event in calendar.events}


def plainly(made, name):
    """Values of a TEXT property, by RFC 5545 3.1 (unfolding) and 3.3.11 (escapes), left to right.

    icalendar's own reader takes an escaped backslash before an n for a new line.
    """
    lines = made.decode().replace("\r\n ", "").split("\r\n")
    values = [line.partition(":")[2] for line in lines if line.startswith(f"{name}:")]
    return [re.sub(r"\\(.)", lambda m: UNESCAPED.get(m[1], m[1]), value) for value in values]
