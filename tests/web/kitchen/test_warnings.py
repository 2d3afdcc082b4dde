"""Warning everyone who has certain jars, and who has read it."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.db import connection, connections
from django.test.utils import CaptureQueriesContext

from coop.buying.models import Share
from coop.kitchen.actions.warnings import NobodyToTell, warn
from coop.kitchen.forms.warnings import SAFE
from coop.kitchen.models import JarWarning, Load, WarningTo
from coop.kitchen.queries.warnings import LONGEST_JARS, ToTell
from coop.people.models import Change
from tests.web import buy_factories, factories
from tests.web import kitchen_factories as rows
from tests.web.reading import main_of, sections_of, text_of

SAID = "The gauge read 3 psi high. Do not eat these."


@pytest.fixture
def load(coop, coordinator):
    return rows.make_load(coop, by=coordinator)


@pytest.fixture
def lot(household, member, load):
    """Seven quarts of the member's household."""
    return rows.make_lot(household, sealed=7, load=load)


@pytest.fixture
def steward(coop):
    return factories.make_member(factories.make_household(coop, "Gallo"), roles=["steward"])


@pytest.fixture
def at(coop):
    def path(*parts):
        return "/".join(["", coop.slug, *(str(part) for part in parts), ""])

    return path


@pytest.fixture
def warns(at, as_coordinator):
    """Send a warning about the jars at an address."""

    def sent(*parts, sentence=SAID, client=as_coordinator, **more):
        return client.post(at(*parts, "warn"), {"sentence": sentence} | more)

    return sent


def told():
    return {each.household.name: each.jars for each in WarningTo.objects.all()}


# ---- Who is told ----------------------------------------------------------------------------
def test_who_made_them_and_who_was_given_some_are_told(warns, lot, other_household, treasurer):
    rows.make_taken(lot, 2, given_to=other_household)
    rows.make_taken(lot, 1, given_to=treasurer.household, undone_at=factories.NOW)
    assert warns("lots", lot.pk).status_code == 302
    assert set(told()) == {"Castell", "Dufresne"}
    assert "7 quarts of sweet corn, whole kernel" in told()["Castell"]
    assert "2 quarts" in told()["Dufresne"]
    assert "given by Castell" in told()["Dufresne"]


def test_who_has_eaten_all_of_them_is_told_too(warns, lot):
    rows.make_taken(lot, 7)
    warns("lots", lot.pk)
    assert set(told()) == {"Castell"}


def test_a_load_warns_everyone_in_it_and_may_be_called_suspect(
    warns, load, lot, other_household, treasurer
):
    rows.make_lot(other_household, sealed=5, load=load)
    rows.make_lot(treasurer.household, sealed=5)
    warns("loads", load.pk, is_suspect="on")
    assert set(told()) == {"Castell", "Dufresne"}
    load.refresh_from_db()
    assert (load.suspect_at, load.suspect_why) == (factories.NOW, SAID)


def test_a_load_is_not_called_suspect_unless_it_is_ticked(warns, load, lot):
    warns("loads", load.pk)
    load.refresh_from_db()
    assert load.suspect_at is None


def test_a_delivery_warns_everyone_who_made_jars_of_it(
    warns, coop, household, other_household, treasurer
):
    buy = buy_factories.make_divided_buy(coop, shares={household: 400, other_household: 300})
    rows.make_lot(household, sealed=7, share=Share.objects.get(household=household))
    rows.make_lot(treasurer.household, sealed=7)
    warns("trace", "delivery", buy_factories.the_supply(buy).pk)
    assert set(told()) == {"Castell"}


def test_what_was_made_of_its_unsealed_jars_is_warned_of(warns, lot, other_household):
    again = rows.make_lot(other_household, 1, sealed=1)
    lot.seal_check.sealed = 6
    lot.seal_check.save()
    rows.make_fate(lot, what="reprocessed", new_lot=again)
    warns("lots", lot.pk)
    assert set(told()) == {"Castell", "Dufresne"}


def test_who_has_left_is_not_told_here_but_named(warns, lot, other_household, at, as_coordinator):
    rows.make_taken(lot, 2, given_to=other_household)
    other_household.left_at, other_household.phone = factories.NOW, "970-555-0147"
    other_household.save()
    section = sections_of(as_coordinator.get(at("lots", lot.pk, "warn")))["Who is told"]
    assert "Has left: tell them yourself Dufresne, 970-555-0147" in section
    warns("lots", lot.pk)
    assert set(told()) == {"Castell"}


def test_the_preview_says_who_and_which_jars_and_tells_nobody(lot, at, as_coordinator):
    answer = as_coordinator.get(at("lots", lot.pk, "warn"))
    assert "7 quarts" in sections_of(answer)["Who is told"]
    assert SAFE in main_of(answer).select_one("textarea").get_text()
    assert not JarWarning.objects.exists()


def test_a_load_without_jars_has_nobody_to_tell(load, at, as_coordinator, warns, coordinator):
    assert "Nobody to tell" in text_of(as_coordinator.get(at("loads", load.pk, "warn")))
    assert warns("loads", load.pk, is_suspect="on").status_code == 422
    with pytest.raises(NobodyToTell):
        warn(load, SAID, by=coordinator)
    assert not JarWarning.objects.exists()
    assert Load.objects.get().suspect_at is None


def test_more_jars_than_there_is_room_for_are_counted(household):
    parts = [f"lot {number} (7 quarts of sweet corn, whole kernel)" for number in range(30)]
    said = ToTell(household, parts).jars
    assert len(said) <= LONGEST_JARS
    assert said.endswith("more")


# ---- Sending --------------------------------------------------------------------------------
def test_a_warning_is_kept_in_the_history_of_what_it_is_about(warns, lot):
    warns("lots", lot.pk)
    change = Change.objects.get(about=f"lot:{lot.pk}")
    assert SAID in change.sentence


def test_sent_twice_within_a_minute_it_is_one_warning(warns, lot, clock):
    first = warns("lots", lot.pk)
    clock.shift(timedelta(seconds=50))
    assert warns("lots", lot.pk).url == first.url
    assert JarWarning.objects.count() == WarningTo.objects.count() == 1


def test_another_sentence_or_a_minute_later_is_another_warning(warns, lot, clock):
    warns("lots", lot.pk)
    warns("lots", lot.pk, sentence="Throw them out now.")
    clock.shift(timedelta(seconds=61))
    warns("lots", lot.pk)
    assert JarWarning.objects.count() == 3


@pytest.mark.django_db(transaction=True)
def test_two_presses_at_once_are_one_warning(lot, coordinator):
    both = Barrier(2)

    def pressing(_):
        try:
            both.wait(timeout=10)
            return warn(lot, SAID, by=coordinator).pk
        finally:
            connections.close_all()

    with ThreadPoolExecutor(2) as threads:
        assert len(set(threads.map(pressing, range(2)))) == 1
    assert WarningTo.objects.count() == 1


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("sentence", "said"), (("", "Say what is wrong"), ("  \n ", "Say what"), ("x" * 401, "400"))
)
def test_a_sentence_that_cannot_be_is_refused(warns, lot, sentence, said):
    answer = warns("lots", lot.pk, sentence=sentence)
    assert answer.status_code == 422
    assert said in text_of(answer)
    assert not JarWarning.objects.exists()


def test_stewards_and_hosts_warn_and_members_do_not(
    warns, lot, load, steward, sign_in, as_member, as_treasurer, at
):
    for client in (as_member, as_treasurer):
        answer = warns("loads", load.pk, client=client)
        assert answer.status_code == 403
        assert "stewards send warnings" in answer.content.decode()
        assert client.get(at("lots", lot.pk, "warn")).status_code == 403
    assert not JarWarning.objects.exists()
    assert warns("loads", load.pk, client=sign_in(steward), is_suspect="on").status_code == 302
    assert Load.objects.get().suspect_at


def test_what_is_another_coops_cannot_be_warned_of(warns, lot, load, as_outsider, outsider):
    theirs = rows.make_lot(outsider.household, sealed=7)
    assert warns("lots", lot.pk, client=as_outsider).status_code == 404
    assert warns("lots", theirs.pk).status_code == 404
    assert warns("loads", theirs.load_id).status_code == 404
    assert not JarWarning.objects.exists()


# ---- Reading --------------------------------------------------------------------------------
@pytest.fixture
def warning(lot, coordinator):
    return rows.make_warning(lot, by=coordinator, sentence=SAID)


def test_it_stands_on_this_week_until_somebody_of_the_household_has_read_it(
    as_member, household, sign_in, at, warning
):
    other = sign_in(factories.make_member(household, "Theo Castell"))
    page = main_of(other.get(f"/{household.coop.slug}/"))
    assert SAID in page.get_text()
    assert page.select_one(".warn")
    as_member.post(at("warnings", warning.pk, "read"))
    assert SAID not in text_of(other.get(f"/{household.coop.slug}/"))


def test_others_do_not_find_it_on_their_week(as_other_household_member, coop, warning):
    assert SAID not in text_of(as_other_household_member.get(f"/{coop.slug}/"))


@pytest.mark.sqlite  # about the page alone
def test_the_page_says_who_has_read_it_and_what_to_do(as_member, at, warning, household):
    answer = as_member.get(at("warnings", warning.pk))
    sections = sections_of(answer)
    assert "not read yet" in sections["Who was told"]
    # USDA Complete Guide to Home Canning (2015): suspect jars, botulism, unsealed jars.
    what = sections["What to do with suspect jars"]
    for words in ("30 minutes", "cannot be seen, smelled or tasted", "bulging", "Home Canning"):
        assert words in what
    as_member.post(at("warnings", warning.pk, "read"))
    assert "Ines Castell" in sections_of(as_member.get(at("warnings", warning.pk)))["Who was told"]


def test_read_twice_it_keeps_who_read_it_first(as_member, household, sign_in, at, warning, clock):
    as_member.post(at("warnings", warning.pk, "read"))
    clock.shift(timedelta(hours=1))
    other = sign_in(factories.make_member(household, "Theo Castell"))
    assert other.post(at("warnings", warning.pk, "read")).status_code == 302
    read = WarningTo.objects.get()
    assert (read.read_at, read.read_by.name) == (factories.NOW, "Ines Castell")


@pytest.mark.sqlite  # about the page alone
def test_who_was_not_told_sees_it_and_cannot_say_that_they_read_it(
    as_other_household_member, at, warning
):
    page = at("warnings", warning.pk)
    answer = as_other_household_member.get(page)
    assert "none of these jars" in text_of(answer)
    assert not main_of(answer).select("button.button-main")
    assert as_other_household_member.post(f"{page}read/").status_code == 403
    assert WarningTo.objects.get().read_at is None


@pytest.mark.sqlite  # about the page alone
def test_another_coops_warning_is_404_and_looking_is_no_reading(
    as_outsider, as_member, at, warning
):
    assert as_outsider.get(f"/sagebrush/warnings/{warning.pk}/").status_code == 404
    assert as_outsider.post(f"/sagebrush/warnings/{warning.pk}/read/").status_code == 404
    assert as_member.get(at("warnings", warning.pk, "read")).status_code == 405
    as_member.get(at("warnings", warning.pk))
    assert WarningTo.objects.get().read_at is None


def test_the_warnings_sent_are_listed_with_who_has_read_them(as_member, at, warning):
    section = sections_of(as_member.get(at("trace")))["Warnings sent"]
    assert SAID in section
    assert "Read by 0 of 1 household" in section


@pytest.mark.sqlite  # as many queries on any database
def test_more_households_ask_no_more_queries(as_coordinator, coop, at, lot, load, warning):
    def grow(count):
        for _ in range(count):
            household = factories.make_household(coop)
            made = rows.make_lot(household, sealed=7, load=load)
            rows.make_taken(made, 1, given_to=factories.make_household(coop))
            WarningTo.objects.create(warning=warning, household=household, jars="some")

    grow(1)
    paths = [at("loads", load.pk, "warn"), at("warnings", warning.pk)]
    before = []
    for path in paths:
        with CaptureQueriesContext(connection) as few:
            as_coordinator.get(path)
        before.append(len(few))
    grow(10)
    for path, count in zip(paths, before, strict=True):
        with CaptureQueriesContext(connection) as many:
            main = main_of(as_coordinator.get(path))
        assert len(many) == count
        assert len(main.select(".household")) >= 11
