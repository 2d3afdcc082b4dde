"""Notices: what to tell whom and when, its delivery by mail, and calendar feeds."""
