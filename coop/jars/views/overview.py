"""The first page of Jars."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coop.people.middleware import CoopRequest


@require_safe
def jars(request: CoopRequest) -> HttpResponse:
    """What one's household has, lends and borrows, and the ways to everything about jars."""
    return render(request, "jars/jars.html", {})
