"""The page of a deposit, and what the books say: who holds it, who gets it back, what was kept."""

import pytest
from django.urls import reverse

from coop.equipment.actions.handovers import Found, FoundBack, hand_back, hand_out
from coop.equipment.actions.money import settle_deposit
from tests.web import equipment_factories as rows
from tests.web.factories import NOW, make_household, make_member
from tests.web.money.books import balance
from tests.web.reading import text_of


@pytest.fixture
def owner(coop):
    """A household that lends its things."""
    household = make_household(coop, "Quist")
    make_member(household, "Ada Quist")
    return household


@pytest.fixture
def steward(coop):
    """Looks after all equipment."""
    return make_member(make_household(coop), "Hal", roles=["steward"])


def lent(household, owner=None, **fields):
    """A booking of a thing, of `owner` or of the co-op, for three hours."""
    thing = rows.make_thing(household.coop, "dehydrator", name="Dryer", owner=owner, **fields)
    return rows.make_booking(thing, household, start=NOW)


def waiting(household, member, owner=None):
    """Such a booking that came back damaged: its deposit waits."""
    booking = lent(household, owner, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    hand_back(booking.pk, FoundBack(bumped=False, condition="damaged"), by=member)
    return booking


def page_of(booking):
    return reverse("equipment:deposit", args=[booking.coop.slug, booking.pk])


def test_the_page_gives_it_back(as_treasurer, household, member):
    booking = waiting(household, member)
    assert "Most often it is given back whole" in text_of(as_treasurer.get(page_of(booking)))
    answer = as_treasurer.post(
        page_of(booking), {"kept_cents": "12.50", "why": "soot"}, follow=True
    )
    assert balance(household) == -1250
    assert "$37.50 goes back to Castell; $12.50 is kept for the till: soot" in text_of(answer)


@pytest.mark.sqlite  # about pages alone
def test_the_books_say_in_words_who_holds_who_gets_back_and_what_was_kept(
    as_treasurer, household, member, steward
):
    booking = waiting(household, member)
    settled = settle_deposit(booking.pk, 600, "soot", by=steward)
    booking.refresh_from_db()
    slug = booking.coop.slug

    def words(name, key):
        return text_of(as_treasurer.get(reverse(f"money:{name}", args=[slug, key])))

    held = words("entry", booking.deposit_entry_id)
    assert "Held by Deposit of For Amount The till Castell Deposit for Dryer $50.00" in held
    back = words("entry", settled.back.pk)
    assert "Given back to By For Amount Castell The till Deposit for Dryer given back" in back
    kept = words("entry", settled.kept.pk)
    assert "Owed to Owed by For Amount The till Castell Kept of the deposit for Dryer: soot" in kept
    statement = words("statement", household.pk)
    assert "deposit held by the till" in statement
    assert "deposit given back by the till" in statement
    assert "fee, owed to the till" in statement
    everything = text_of(as_treasurer.get(reverse("money:entries", args=[slug])))
    for title in ("Deposit of Castell for Dryer given back", "Kept of the deposit of Castell for"):
        assert title in everything


@pytest.mark.sqlite  # about the page alone
def test_the_page_says_what_was_wrong_at_the_return(as_treasurer, household, member):
    booking = lent(household, deposit_cents=5000, parts={"tray": 9})
    hand_out(booking.pk, Found(counted={"tray": 9}), by=member)
    hand_back(
        booking.pk,
        FoundBack(bumped=True, condition="damaged", counted={"tray": 7}, note="It fell."),
        by=member,
    )
    words = text_of(as_treasurer.get(page_of(booking)))
    for said in ("dropped or bumped", "Damaged when Castell", "Tray: 7 of 9", "“It fell.”"):
        assert said in words


@pytest.mark.parametrize(
    ("owned", "who"), [(True, "Dufresne or the steward"), (False, "the steward")]
)
def test_a_return_with_faults_says_who_settles_the_deposit(
    as_member, household, other_household, member, owned, who
):
    booking = lent(household, other_household if owned else None, deposit_cents=2000)
    hand_out(booking.pk, Found(), by=member)
    typed = {"condition": "damaged", "bumped": "no", "uses": "1"}
    path = reverse("equipment:hand_back", args=[booking.coop.slug, booking.pk])
    page = text_of(as_member.post(path, typed, follow=True))
    assert f"The deposit of $20.00 stays held until {who} settles it." in page


def test_what_was_kept_is_not_headed_as_a_change_by_somebody(
    as_member, household, member, other_household_member, other_household
):
    booking = waiting(household, member, other_household)
    settle_deposit(booking.pk, 600, "soot", by=other_household_member)
    page = text_of(as_member.get("/cottonwood/"))
    assert "soot" in page
    assert "About your booking" in page
    assert "Somebody changed your booking" not in page


@pytest.mark.parametrize("kept", ["60", "-1", "some", "1.005", "9" * 30])
def test_the_page_keeps_what_was_typed(as_treasurer, household, member, kept):
    booking = waiting(household, member)
    answer = as_treasurer.post(page_of(booking), {"kept_cents": kept, "why": "soot"})
    assert answer.status_code == 422
    assert answer.context["form"].errors["kept_cents"]
    assert 'value="soot"' in answer.content.decode()


@pytest.mark.sqlite  # about the page alone
def test_the_household_reads_that_it_waits_and_others_nothing(
    as_member, as_other_household_member, household, member
):
    booking = waiting(household, member)
    answer = as_member.get(page_of(booking))
    assert "It waits" in text_of(answer)
    assert "button-main" not in answer.content.decode()
    assert as_member.post(page_of(booking), {}).status_code == 403
    assert as_other_household_member.get(page_of(booking)).status_code == 403


@pytest.mark.sqlite  # about the page alone
def test_what_it_costs_is_said_before(as_member, household):
    booking = lent(household, fee_cents=200, fee_per="hour", deposit_cents=5000)
    words = text_of(
        as_member.get(reverse("equipment:hand_out", args=[booking.coop.slug, booking.pk]))
    )
    assert "$6.00 for this time, at $2.00 for each hour begun" in words
    assert "$50.00 deposit" in words


def test_this_week_says_it_to_whoever_may_give_it_back(
    sign_in, household, member, owner, treasurer, steward, other_household_member
):
    waiting(household, member, owner)
    said = "A deposit of Castell waits"
    for by in (owner.members.get(), treasurer, steward):
        assert said in text_of(sign_in(by).get(f"/{by.coop.slug}/"))
    for by in (member, other_household_member):
        assert said not in text_of(sign_in(by).get(f"/{by.coop.slug}/"))
