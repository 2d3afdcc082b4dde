"""Care comes round by uses or by months, whichever comes first; who does it writes it down."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.equipment.actions.cares import MOST_CARES, Round, add_care, care_done, drop_care
from coop.equipment.errors import NameTaken, NotAllowed, Refused
from coop.equipment.models import Care, CareDone
from coop.equipment.queries.cares import cares_in, cares_of
from coop.people.changes import changes_of
from tests.web import equipment_factories as rows
from tests.web.equipment_factories import HOUR
from tests.web.factories import NOW, make_household, make_member
from tests.web.reading import main_of, text_of

TODAY = NOW.date()
DAY = timedelta(days=1)


@pytest.fixture
def steward(coop):
    """Looks after all equipment."""
    return make_member(make_household(coop, "Gable"), "Hattie Gable", roles=["steward"])


@pytest.fixture
def dryer(coop):
    """A freeze dryer of the co-op."""
    return rows.make_thing(coop, "freeze_dryer", name="Freeze dryer")


def use(thing, household, uses, *, back_at):
    """A booking that came back, with so many uses."""
    booking = rows.make_booking(thing, household, start=back_at - HOUR, hours=1)
    rows.make_out(booking)
    rows.make_back(booking, at=back_at, uses=uses)


def state(thing, today=TODAY):
    (found,) = cares_of(thing, today)
    return found


def test_uses_are_those_of_returns_since_it_was_last_done(dryer, steward, household):
    care = add_care(dryer.pk, Round("pump oil", every_uses=3), by=steward)
    CareDone.objects.create(care=care, done_at=NOW - 3 * DAY, by=steward)
    use(dryer, household, 5, back_at=NOW - 4 * DAY)
    use(dryer, household, 1, back_at=NOW - 2 * DAY)
    assert (state(dryer).uses, state(dryer).is_due) == (1, False)
    use(dryer, household, 2, back_at=NOW - DAY)
    assert (state(dryer).uses, state(dryer).is_due) == (3, True)


def test_what_was_never_done_counts_from_when_it_was_put_on_the_list(dryer, steward, household):
    use(dryer, household, 4, back_at=NOW - DAY)
    add_care(dryer.pk, Round("pump oil", every_uses=1), by=steward)
    assert (state(dryer).uses, state(dryer).was_done) == (0, False)


def test_uses_of_another_thing_do_not_count(dryer, coop, steward, household):
    add_care(dryer.pk, Round("pump oil", every_uses=1, last_on=date(2026, 8, 1)), by=steward)
    use(rows.make_thing(coop, "freeze_dryer"), household, 9, back_at=NOW - DAY)
    assert state(dryer).uses == 0


@pytest.mark.parametrize(("today", "due"), ((date(2027, 1, 30), False), (date(2027, 1, 31), True)))
def test_months_run_from_the_day_by_the_co_ops_calendar(dryer, steward, today, due):
    wish = Round("gasket", every_months=6, last_on=date(2026, 7, 31))
    add_care(dryer.pk, wish, by=steward)
    assert state(dryer).due_on == date(2027, 1, 31)
    assert state(dryer, today).is_due == due


def test_whichever_comes_first_makes_it_due(dryer, steward, household):
    wish = Round("gasket", every_uses=2, every_months=12, last_on=date(2026, 8, 1))
    add_care(dryer.pk, wish, by=steward)
    assert not state(dryer).is_due
    use(dryer, household, 2, back_at=NOW)
    assert state(dryer).is_due


def test_done_starts_the_count_again(dryer, member, steward, household):
    care = add_care(dryer.pk, Round("oil", every_uses=1, last_on=date(2026, 8, 1)), by=steward)
    use(dryer, household, 1, back_at=NOW - HOUR)
    assert state(dryer).is_due
    care_done(care.pk, by=member, note="It was milky.")
    assert not state(dryer).is_due
    assert "Looked after: oil. It was milky." in [
        change.sentence for change in changes_of(dryer.coop, dryer)
    ]


def test_what_is_used_later_on_the_day_it_was_last_done_does_not_count_as_before(
    dryer, steward, household
):
    """Last done on a day means until its end: what was used that day was before."""
    add_care(dryer.pk, Round("oil", every_uses=1, last_on=date(2026, 8, 10)), by=steward)
    use(dryer, household, 1, back_at=NOW - DAY)
    assert state(dryer).uses == 0


def test_done_twice_at_once_is_done_once(dryer, steward, clock):
    care = add_care(dryer.pk, Round("oil", every_uses=1), by=steward)
    assert care_done(care.pk, by=steward) == care_done(care.pk, by=steward)
    clock.shift(2 * HOUR)
    care_done(care.pk, by=steward)
    assert care.done.count() == 2


@pytest.mark.parametrize(
    ("wish", "field"),
    (
        (Round(" ", every_uses=1), "what"),
        (Round("oil"), "every_uses"),
        (Round("oil", every_uses=1, last_on=TODAY + DAY), "last_on"),
    ),
)
def test_care_that_makes_no_sense_is_refused(dryer, steward, wish, field):
    with pytest.raises(Refused) as refusal:
        add_care(dryer.pk, wish, by=steward)
    assert refusal.value.field == field
    assert not Care.objects.exists()


def test_the_same_care_is_on_the_list_once(dryer, steward):
    add_care(dryer.pk, Round("Pump oil", every_uses=1), by=steward)
    with pytest.raises(NameTaken, match="already"):
        add_care(dryer.pk, Round("pump oil", every_months=1), by=steward)


def test_a_list_has_an_end(dryer, steward):
    Care.objects.bulk_create(
        Care(thing=dryer, what=f"part {place}", every_uses=1) for place in range(MOST_CARES)
    )
    with pytest.raises(Refused, match="long enough"):
        add_care(dryer.pk, Round("one more", every_uses=1), by=steward)


def test_the_list_is_kept_by_its_keepers_and_done_by_anybody(dryer, member, steward):
    with pytest.raises(NotAllowed):
        add_care(dryer.pk, Round("oil", every_uses=1), by=member)
    care = add_care(dryer.pk, Round("oil", every_uses=1), by=steward)
    care_done(care.pk, by=member)
    with pytest.raises(NotAllowed):
        drop_care(care.pk, by=member)
    drop_care(care.pk, by=steward)
    assert not Care.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_many_cares_are_one_query(coop, steward, household, django_assert_num_queries):
    def things(count):
        made = [rows.make_thing(coop, "freeze_dryer") for _ in range(count)]
        for thing in made:
            add_care(thing.pk, Round("oil", every_uses=1, last_on=date(2026, 8, 1)), by=steward)
            use(thing, household, 1, back_at=NOW - HOUR)
        return made

    for made in (things(2), things(9)):
        with django_assert_num_queries(1):
            states = cares_in(made, TODAY)
        assert [each.is_due for each in states] == [True] * len(made)


# ---- The page -------------------------------------------------------------------------------
def url(thing):
    return f"/{thing.coop.slug}/equipment/things/{thing.pk}/care/"


def test_a_keeper_puts_it_on_the_list(as_coordinator, dryer):
    typed = {"what": "pump oil", "every_uses": "1", "last_on": "2026-08-01"}
    assert as_coordinator.post(url(dryer), typed).status_code == 302
    text = text_of(as_coordinator.get(url(dryer)))
    assert "Pump oil" in text
    assert "Last done Sat 1 Aug; 0 uses since. After every use." in text


@pytest.mark.parametrize(
    "typed",
    (
        {"what": "oil"},
        {"what": "oil", "every_uses": "0"},
        {"what": "oil", "every_months": "2000"},
        {"what": "o" * 61, "every_uses": "1"},
        {"what": "oil", "every_uses": "1", "last_on": "2027-01-01"},
    ),
)
def test_bad_input_is_refused_and_kept(as_coordinator, dryer, typed):
    answer = as_coordinator.post(url(dryer), typed)
    assert answer.status_code == 422
    assert typed["what"] in answer.content.decode()
    assert not Care.objects.exists()


def test_a_member_writes_down_that_it_was_done(as_member, member, steward, dryer):
    care = add_care(dryer.pk, Round("oil", every_uses=1), by=steward)
    done = f"/cottonwood/equipment/care/{care.pk}/done/"
    assert as_member.get(done).status_code == 405
    assert as_member.post(done, {"note": "Clear."}).status_code == 302
    text = text_of(as_member.get(url(dryer)))
    assert "Ines Castell, Castell: Clear." in text
    assert as_member.post(done, {"note": "n" * 401}).status_code == 409
    assert care.done.count() == 1


@pytest.mark.sqlite  # about the page alone
def test_a_member_finds_no_way_to_change_the_list(as_member, steward, dryer):
    care = add_care(dryer.pk, Round("oil", every_uses=1), by=steward)
    page = main_of(as_member.get(url(dryer)))
    assert len(page.select("form")) == 1
    assert as_member.post(url(dryer), {"what": "x", "every_uses": "1"}).status_code == 403
    assert as_member.post(f"/cottonwood/equipment/care/{care.pk}/drop/").status_code == 403


@pytest.mark.sqlite  # about the page alone
def test_another_coops_care_is_not_there(as_member, as_outsider, steward, dryer):
    care = add_care(dryer.pk, Round("oil", every_uses=1), by=steward)
    for act in ("done", "drop"):
        assert as_outsider.post(f"/sagebrush/equipment/care/{care.pk}/{act}/").status_code == 404
    assert as_outsider.get(f"/sagebrush/equipment/things/{dryer.pk}/care/").status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_the_page_takes_as_many_queries_for_one_care_as_for_many(as_coordinator, steward, dryer):
    def queries():
        with CaptureQueriesContext(connection) as made:
            assert as_coordinator.get(url(dryer)).status_code == 200
        return len(made)

    care_done(add_care(dryer.pk, Round("oil", every_uses=1), by=steward).pk, by=steward)
    few = queries()
    for place in range(8):
        care = add_care(dryer.pk, Round(f"part {place}", every_uses=1), by=steward)
        care_done(care.pk, by=steward)
    assert queries() == few
