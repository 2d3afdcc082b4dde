"""What is typed about money of a buy: a shared cost, a fee, a credit, a payment."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet

from coop.buying.actions.costs import SHARED, Cost
from coop.buying.actions.credits import Credit
from coop.buying.models import Buy, Charge, Farm, Line
from coop.money.actions.accounts import open_household_account, open_till
from coop.money.forms.once import OnceForm
from coop.money.models import Account
from coop.people.models import Coop, Household, Member
from coop.web.fields import MoneyField

BASIS_CHOICES = [
    ("", "As this buy stated"),
    (Buy.Basis.BY_SHARE, "By what each got"),
    (Buy.Basis.EQUALLY, "Equally"),
    (Buy.Basis.BY_TRIP, "By the trip each needed"),
]


def households_now(coop: Coop) -> QuerySet[Household]:
    """The households of a co-op that have not left."""
    return Household.objects.filter(coop=coop, left_at__isnull=True)


def payer_field(coop: Coop, *, label: str) -> forms.ModelChoiceField[Account]:
    """The till, or a household that has not left."""
    accounts = Account.objects.filter(
        coop=coop, kind__in=(Account.Kind.TILL, Account.Kind.HOUSEHOLD)
    ).exclude(household__left_at__isnull=False)
    return forms.ModelChoiceField(
        accounts.order_by("-kind", "name"),
        label=label,
        empty_label=None,
        initial=open_till(coop).pk,
    )


class CostForm(OnceForm):
    """A cost to share: what, how much, on which basis, who paid it."""

    what = forms.TypedChoiceField(
        choices=[(what.value, what.label) for what in SHARED],
        coerce=Charge.What,
        label="What is it",
        initial=Charge.What.FUEL.value,
    )
    title = forms.CharField(
        max_length=80, label="In words", help_text="As everybody will read it: fuel to Fir farm."
    )
    basis = forms.ChoiceField(
        choices=BASIS_CHOICES, required=False, label="Shared", widget=forms.RadioSelect, initial=""
    )
    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, buy: Buy, **options: Any) -> None:
        super().__init__(*args, **options)
        self.buy = buy
        self.add(
            cents=MoneyField(buy.coop.currency, least=1, label="How much"),
            payer=payer_field(buy.coop, label="Who paid it"),
            note=forms.CharField(required=False, max_length=400, label="Note"),
        )
        self.order_fields(["what", "title", "cents", "payer", "basis", "note"])

    def cost(self) -> Cost:
        """The cost as it was typed."""
        typed = self.cleaned_data
        what = Charge.What(typed["what"])
        stated = self.buy.fuel_basis if what == Charge.What.FUEL else self.buy.other_basis
        return Cost(
            what=what,
            title=typed["title"],
            cents=typed["cents"],
            basis=Buy.Basis(typed["basis"] or stated),
            payer=typed["payer"],
            note=typed["note"],
        )


class FeeForm(OnceForm):
    """Whom a fee is charged to, and a word on it."""

    def __init__(self, *args: Any, households: QuerySet[Household], **options: Any) -> None:
        super().__init__(*args, **options)
        self.add(
            household=forms.ModelChoiceField(
                households, label="Household", empty_label="Which one?"
            ),
            note=forms.CharField(required=False, max_length=400, label="Note"),
        )


class CreditForm(OnceForm):
    """What a farm takes off its bill, of which produce, and why."""

    def __init__(self, *args: Any, buy: Buy, **options: Any) -> None:
        super().__init__(*args, **options)
        supplied = Farm.objects.filter(supplies__line__buy=buy).distinct()
        self.add(
            line=forms.ModelChoiceField(buy.lines.all(), label="Of what", empty_label=None),
            farm=forms.ModelChoiceField(supplied, label="Farm", empty_label=None),
            cents=MoneyField(buy.coop.currency, least=1, label="How much it takes off"),
            why=forms.CharField(
                max_length=400, label="Why", help_text="For everybody to read: one box was rotten."
            ),
        )

    def credit(self) -> Credit:
        """The credit as it was typed."""
        typed = self.cleaned_data
        line: Line = typed["line"]
        return Credit(line=line, farm=typed["farm"], cents=typed["cents"], why=typed["why"])


class FarmPaymentForm(OnceForm):
    """How much a farm was paid, or gave back, and by or to whom."""

    def __init__(self, *args: Any, buy: Buy, is_back: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        who = "payee" if is_back else "payer"
        self.who = who
        first = buy.fronted_by if not is_back else None
        payer = payer_field(buy.coop, label="Who took it" if is_back else "Who pays")
        if first:
            payer.initial = open_household_account(first).pk
        self.add(
            cents=MoneyField(buy.coop.currency, least=1, label="How much"),
            note=forms.CharField(
                required=False, max_length=400, label="Note", help_text="Cash, cheque, transfer."
            ),
        )
        self.fields[who] = payer
        self.order_fields(["cents", who, "note"])


class CashForm(OnceForm):
    """How much a household paid, and who took it."""

    def __init__(self, *args: Any, coop: Coop, member: Member, **options: Any) -> None:
        super().__init__(*args, **options)
        members = Member.objects.filter(coop=coop, left_at__isnull=True)
        self.add(
            cents=MoneyField(coop.currency, least=1, label="How much"),
            taken_by=forms.ModelChoiceField(
                members,
                label="Who took it",
                required=False,
                initial=member.pk,
                empty_label=None,
            ),
        )
