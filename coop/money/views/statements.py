"""A household's account line by line."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from coop.money import rights
from coop.money.queries.statements import household_account_for, statement_of
from coop.people.middleware import CoopRequest
from coop.people.rights import require

OWN_ONLY = "A household's statement is for its own members, the treasurer and the coordinators."


@require_GET
def statement(request: CoopRequest, household_id: int) -> HttpResponse:
    """Every line with its running balance, each leading to its entry and its buy."""
    account = household_account_for(request.member, household_id)
    household = account.household
    if household:
        require(rights.can_see_statement(request.member, household), OWN_ONLY)
    context = {
        "household": household,
        "statement": statement_of(account),
        "is_own": household_id == request.member.household_id,
    }
    return render(request, "money/statement.html", context)
