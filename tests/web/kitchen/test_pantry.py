"""The pantry: what stands on the shelf, what is taken from it, and a slip undone."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from bs4 import BeautifulSoup
from django.db import IntegrityError, connection, connections, transaction
from django.test.utils import CaptureQueriesContext

from coop.kitchen.actions.shelf import take
from coop.kitchen.models import Taken
from coop.kitchen.queries.shelf import pantry_of
from coop.people.errors import Refused
from coop.people.models import Change
from tests.web import factories
from tests.web import kitchen_factories as rows
from tests.web.reading import main_of, sections_of, text_of

TODAY = factories.NOW.date()
HTMX = {"HX-Request": "true"}


@pytest.fixture
def lot(household, member):
    """Seven quarts of corn, all sealed."""
    return rows.make_lot(household, sealed=7)


@pytest.fixture
def page(coop):
    return f"/{coop.slug}/pantry/"


@pytest.fixture
def takes(coop, as_member):
    """Take jars of a lot as a form sends it."""

    def sent(lot, count="1", what="used", *, client=as_member, **more):
        typed = {"count": count, "what": what} | more
        return client.post(f"/{coop.slug}/lots/{lot.pk}/take/", typed)

    return sent


def left(lot):
    """How many stand on the shelf."""
    return sum(row.count for row in pantry_of(lot.household, TODAY).rows)


def old_lot(household, days, **fields):
    """A lot of canned corn put up so many days ago."""
    load = rows.make_load(household.coop, day=TODAY - timedelta(days=days))
    return rows.make_lot(household, sealed=7, load=load, **fields)


# ---- What stands there ----------------------------------------------------------------------
def test_jars_stand_by_product_the_oldest_first(as_member, page, household, member):
    for days in (10, 200, 100):
        old_lot(household, days)
    rows.make_lot(household, way="freeze", produce="peaches", product="slices", counted_out=4)
    groups = pantry_of(household, TODAY).groups
    assert [group.product.split(",")[0] for group in groups] == ["Peaches", "Sweet corn"]
    made = [row.lot.made_on for row in groups[1].rows]
    assert made == sorted(made)
    assert "21 quarts" in sections_of(as_member.get(page))["Sweet corn, whole kernel"]


def test_jars_whose_seals_were_not_tried_are_not_on_the_shelf(as_member, page, household, member):
    rows.make_lot(household, counted_out=7)
    sections = sections_of(as_member.get(page))
    assert list(sections)[:2] == ["Nothing on the shelf", "Seals not tried yet"]


@pytest.mark.parametrize(
    ("days", "state"),
    # Canned food: 12 months (USDA Complete Guide to Home Canning, 2015). From 11 August 2026.
    # A label names the month and means all of it: 1 August is good to the end of August.
    ((376, "past"), (375, "soon"), (305, "soon"), (303, ""), (0, "")),
)
def test_best_by_passes_soon_or_is_past(household, days, state):
    old_lot(household, days)
    assert pantry_of(household, TODAY).rows[0].state == state


def test_what_is_past_its_best_says_that_it_is_about_quality(as_member, page, household, member):
    old_lot(household, 400)
    text = text_of(as_member.get(page))
    assert "7 past their best" in text
    assert "quality, not safety" in text


def test_jars_of_a_suspect_load_are_not_offered(as_member, page, household, member):
    load = rows.make_load(household.coop, suspect_at=factories.NOW, suspect_why="It ran dry.")
    lot = rows.make_lot(household, sealed=7, load=load)
    main = main_of(as_member.get(page))
    assert "do not eat" in main.get_text()
    assert "It ran dry." in main.get_text()
    assert not main.select(f"#used-{lot.pk}")
    assert pantry_of(household, TODAY).groups[0].said == "none good"


def test_jars_with_a_warning_are_not_offered_nor_what_was_made_of_them(household, member):
    warned, made_of_it, good = (rows.make_lot(household, sealed=6) for _ in range(3))
    rows.make_fate(warned, what="reprocessed", new_lot=made_of_it)
    rows.make_warning(warned)
    dangers = {row.lot.pk: bool(row.dangers) for row in pantry_of(household, TODAY).rows}
    assert dangers == {warned.pk: True, made_of_it.pk: True, good.pk: False}


def test_another_household_is_looked_at_and_nothing_is_offered(
    as_other_household_member, page, lot
):
    answer = as_other_household_member.get(page, {"household": lot.household_id})
    assert "7 quarts" in text_of(answer)
    assert not main_of(answer).select("form[action*='/take/']")


@pytest.mark.parametrize("named", ("0", "x", "-1", "9" * 30, "²"))
def test_a_household_that_is_not_there_is_404(as_member, page, named):
    assert as_member.get(page, {"household": named}).status_code == 404


def test_another_coops_shelf_is_404(as_member, page, outsider):
    assert as_member.get(page, {"household": outsider.household_id}).status_code == 404


@pytest.mark.sqlite  # as many queries on any database
def test_three_hundred_lots_are_paged_and_ask_no_more_queries(
    as_member, page, household, member, django_assert_max_num_queries
):
    rows.make_lot(household, sealed=7)
    with CaptureQueriesContext(connection) as few:
        as_member.get(page)
    load = rows.make_load(household.coop)
    for number in range(300):
        lot = rows.make_lot(
            household, sealed=7, load=load, product=f"kind_{number % 30}", made_on=TODAY
        )
        if number % 10 == 0:
            rows.make_taken(lot)
    with django_assert_max_num_queries(len(few)):
        main = main_of(as_member.get(page))
    assert len(main.select("section[aria-labelledby^=product-]")) == 12
    assert "Page 1 of 3" in main.get_text()


# ---- Taking ---------------------------------------------------------------------------------
def test_one_tap_takes_one(takes, lot):
    answer = takes(lot)
    assert answer.status_code == 302
    assert f"#lot-{lot.pk}" in answer.url
    assert left(lot) == 6


def test_with_htmx_the_row_and_what_was_taken_lately_come_back(as_member, coop, lot):
    answer = as_member.post(
        f"/{coop.slug}/lots/{lot.pk}/take/", {"count": "1", "what": "used"}, headers=HTMX
    )
    text = answer.content.decode()
    assert text.count("<li") == 2
    assert "6 quarts" in text
    assert 'id="lately" hx-swap-oob="true"' in text
    assert "1 quart of lot" in answer.headers["HX-Trigger"]


def test_with_htmx_the_row_says_what_was_used_with_its_undo(as_member, coop, lot):
    url = f"/{coop.slug}/lots/{lot.pk}/take/"
    answer = as_member.post(url, {"count": "1", "what": "used"}, headers=HTMX)
    row = BeautifulSoup(answer.content, "html.parser").select_one(f"#lot-{lot.pk}")
    assert "Used 1." in row.get_text()
    undo = row.select_one("form[action$='/undo/']")
    again = as_member.post(undo["action"], headers=HTMX)
    row = BeautifulSoup(again.content, "html.parser").select_one(f"#lot-{lot.pk}")
    assert "7 quarts" in row.get_text()
    assert not row.select("form[action$='/undo/']")


def test_the_last_jar_leaves_a_row_that_says_so(as_member, coop, lot):
    url = f"/{coop.slug}/lots/{lot.pk}/take/"
    answer = as_member.post(url, {"count": "7", "what": "used"}, headers=HTMX)
    assert "None left" in answer.content.decode()


def test_jars_given_away_are_written_down_with_whom(takes, lot, other_household):
    takes(lot, "2", "given", given_to=other_household.pk)
    taken = Taken.objects.get()
    assert (taken.count, taken.given_to) == (2, other_household)
    assert "given to Dufresne" in Change.objects.get().sentence


def test_what_was_given_is_seen_by_whom_it_was_given_to(
    as_other_household_member, page, lot, other_household
):
    rows.make_taken(lot, 2, given_to=other_household)
    rows.make_warning(lot)
    section = sections_of(as_other_household_member.get(page))["Given by others"]
    assert "2 quarts" in section
    assert "do not eat" in section


@pytest.mark.parametrize(
    ("count", "what", "sentence"),
    (
        ("8", "used", "take 1 to 7"),
        ("0", "used", "less than 1"),
        ("1.5", "used", "Whole numbers"),
        ("", "used", "required"),
        ("1", "", "Say what became"),
        ("1", "sold", "valid choice"),
        ("1", "given", "Say which household"),
    ),
)
def test_what_cannot_be_taken_is_refused_with_what_was_typed(takes, lot, count, what, sentence):
    answer = takes(lot, count, what)
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    assert main_of(answer).select_one("[name=count]").get("value", "") == count
    assert not Taken.objects.exists()


def test_a_household_chosen_for_what_was_eaten_is_asked_about(takes, lot, other_household):
    answer = takes(lot, given_to=other_household.pk)
    assert "choose nobody" in text_of(answer)
    assert not Taken.objects.exists()


def test_jars_are_not_given_to_whom_they_belong_nor_to_another_coop(takes, lot, outsider):
    for whom in (lot.household_id, outsider.household_id):
        assert takes(lot, "1", "given", given_to=whom).status_code == 422
    assert not Taken.objects.exists()


def test_suspect_jars_are_not_given_away_but_can_be_thrown_out(takes, lot, other_household, member):
    rows.make_warning(lot)
    assert takes(lot, "1", "given", given_to=other_household.pk).status_code == 422
    with pytest.raises(Refused, match="Do not give"):
        take(lot, "given", 1, given_to=other_household, by=member)
    assert takes(lot, "7", "thrown_out").status_code == 302
    assert left(lot) == 0


def test_nobody_takes_from_another_households_shelf(takes, lot, as_other_household_member):
    answer = takes(lot, client=as_other_household_member)
    assert answer.status_code == 403
    assert "members of Castell" in answer.content.decode()
    assert not Taken.objects.exists()


def test_a_coordinator_takes_on_its_behalf_and_it_is_kept(takes, lot, as_coordinator):
    assert takes(lot, client=as_coordinator).status_code == 302
    assert "of Castell" in Change.objects.get().sentence


def test_another_coops_lot_is_not_there(takes, lot, as_outsider):
    assert takes(lot, client=as_outsider).status_code == 404


def test_the_database_keeps_more_than_is_there_from_being_taken(lot, member):
    with pytest.raises(IntegrityError), transaction.atomic():
        Taken.objects.create(lot=lot, count=8, by=member)


@pytest.mark.django_db(transaction=True)
def test_of_two_who_take_the_last_jar_at_once_one_is_refused(household, member):
    lot = rows.make_lot(household, sealed=1)
    both = Barrier(2)

    def taking(_):
        try:
            both.wait(timeout=10)
            take(lot, "used", 1, by=member)
        except Refused as refusal:
            return refusal.sentence
        finally:
            connections.close_all()
        return "taken"

    with ThreadPoolExecutor(2) as threads:
        said = sorted(threads.map(taking, range(2)))
    assert said[1] == "taken"
    assert "stands on the shelf" in said[0]


# ---- Undoing --------------------------------------------------------------------------------
@pytest.fixture
def undoes(coop, as_member):
    def sent(taken, client=as_member, **more):
        return client.post(f"/{coop.slug}/taken/{taken.pk}/undo/", **more)

    return sent


def test_a_slip_is_undone(undoes, lot):
    taken = rows.make_taken(lot, 3)
    assert undoes(taken).status_code == 302
    assert left(lot) == 7


def test_undone_twice_is_undone_once(undoes, lot):
    taken = rows.make_taken(lot)
    undoes(taken)
    answer = undoes(taken)
    assert answer.status_code == 409
    assert "undone already" in answer.content.decode()
    assert left(lot) == 7


def test_undone_jars_are_not_listed_any_more(undoes, lot, as_member, page):
    taken = rows.make_taken(lot)
    assert "Taken lately" in sections_of(as_member.get(page))
    undoes(taken)
    assert "Taken lately" not in sections_of(as_member.get(page))


def test_nobody_undoes_for_another_household_and_another_coops_is_404(
    undoes, lot, as_other_household_member, as_outsider
):
    taken = rows.make_taken(lot)
    assert undoes(taken, as_other_household_member).status_code == 403
    assert undoes(taken, as_outsider).status_code == 404
    assert left(lot) == 6


def test_looking_at_it_takes_nothing(as_member, coop, lot):
    taken = rows.make_taken(lot)
    assert as_member.get(f"/{coop.slug}/lots/{lot.pk}/take/").status_code == 200
    assert as_member.get(f"/{coop.slug}/taken/{taken.pk}/undo/").status_code == 405
    assert left(lot) == 6
