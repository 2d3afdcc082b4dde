"""Calendars: what stands in a member's calendar, as RFC 5545 has it."""
