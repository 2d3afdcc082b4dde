"""What is mended of a lot: jars that went in, more than a canner takes, where it comes from."""

from datetime import timedelta

import pytest

from coop.buying.models import Share
from coop.kitchen.models import Load, Lot
from coop.people.models import Change
from tests.web import buy_factories, factories
from tests.web import kitchen_factories as rows
from tests.web.kitchen.loading import last_load, line, page, typed, writing
from tests.web.reading import main_of, text_of

# USDA, "Complete Guide to Home Canning" (2015), guide 1: a standard canner takes seven quarts.
MOST_QUARTS = 7
TOO_MANY = f"No canner in the tables takes 999 quarts at once; the largest takes {MOST_QUARTS}."


@pytest.fixture
def lot(member):
    return rows.make_lot(member.household, load=rows.make_load(by=member))


# ---- More than a canner takes ---------------------------------------------------------------
def test_more_than_a_canner_takes_asks_for_a_yes_and_makes_nothing_suspect(as_member, member):
    answer = as_member.post(writing(member), typed(member, count_0=999))
    assert answer.status_code == 422
    assert TOO_MANY in text_of(answer)
    assert main_of(answer).select_one("[name=ran_so]")
    assert not Load.objects.exists()
    assert (
        as_member.post(writing(member), typed(member, count_0=999, ran_so="on")).status_code == 302
    )
    assert last_load().suspect_at is None
    assert last_load().lots.get().counted_in == 999


def test_lots_of_one_load_are_summed_by_the_jar(as_member, member, other_household, lot):
    both = typed(member, rows=2, count_0=4) | line(other_household, row=1, count=4)
    answer = as_member.post(writing(member), both)
    assert "takes 8 quarts at once" in text_of(answer)
    adding = page(member, "add_lot", lot.load_id)
    assert "takes 8 quarts" in text_of(as_member.post(adding, line(other_household, count=1)))
    pints = line(other_household, count=9, key="sweet_corn|whole_kernel|hot|pint|1")
    assert as_member.post(adding, pints).status_code == 302


def test_a_full_canner_is_not_asked_about(as_member, member):
    assert as_member.post(writing(member), typed(member, count_0=MOST_QUARTS)).status_code == 302


# ---- Jars in --------------------------------------------------------------------------------
def test_jars_in_are_corrected_and_it_stays_in_the_history(as_member, member, lot):
    at = page(member, "jars_in", lot.pk)
    assert at in as_member.get(page(member, "lot", lot.pk)).content.decode()
    assert as_member.post(at, {"count": 6}).status_code == 302
    assert Lot.objects.get().counted_in == 6
    assert "6 quarts went in, not 7" in Change.objects.get(about=f"lot:{lot.pk}").sentence
    as_member.post(at, {"count": 6})
    assert Change.objects.filter(about=f"lot:{lot.pk}").count() == 1


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("count", ("", "0", "-1", "x", "2001"))
def test_a_count_that_is_none_is_refused(as_member, member, lot, count):
    answer = as_member.post(page(member, "jars_in", lot.pk), {"count": count})
    assert answer.status_code == 422
    assert Lot.objects.get().counted_in == 7


def test_too_many_are_corrected_only_with_a_yes(as_member, member, lot):
    at = page(member, "jars_in", lot.pk)
    assert TOO_MANY in text_of(as_member.post(at, {"count": 999}))
    assert as_member.post(at, {"count": 999, "ran_so": "on"}).status_code == 302
    assert Lot.objects.get().counted_in == 999


def test_once_counted_out_the_jars_in_stand(as_member, member):
    lot = rows.make_lot(member.household, counted_out=7)
    at = page(member, "jars_in", lot.pk)
    assert at not in as_member.get(page(member, "lot", lot.pk)).content.decode()
    answer = as_member.post(at, {"count": 6})
    assert answer.status_code == 422
    assert "counted out already" in text_of(answer)


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ("jars_in", "origin"))
def test_who_may_not_keep_the_lot_may_not_mend_it(
    as_other_household_member, as_outsider, outsider, member, lot, name
):
    typed_in = {"count": 6, "origin": "farm 1"}
    at = page(member, name, lot.pk)
    assert as_other_household_member.post(at, typed_in).status_code == 403
    assert as_outsider.post(page(outsider, name, lot.pk), typed_in).status_code == 404
    assert Lot.objects.get().counted_in == 7


# ---- Where it comes from --------------------------------------------------------------------
@pytest.fixture
def share(coop, household, other_household, member, other_household_member):
    """The household's share of the sweet corn of one farm."""
    buy = buy_factories.make_divided_buy(coop, shares={household: 400, other_household: 300})
    return Share.objects.get(household=household, division__line__buy=buy)


def test_a_lot_is_said_to_be_of_a_share_and_its_farm_follows(as_member, member, lot, share):
    at = page(member, "origin", lot.pk)
    assert at in as_member.get(page(member, "lot", lot.pk)).content.decode()
    form = main_of(as_member.get(at))
    assert [each["value"] for each in form.select("optgroup")[0].select("option")] == [
        f"share {share.pk}"
    ]
    assert as_member.post(at, {"origin": f"share {share.pk}"}).status_code == 302
    lot.refresh_from_db()
    assert (lot.share, lot.farm) == (share, share.division.line.supplies.get().farm)
    change = Change.objects.get(about=f"lot:{lot.pk}")
    assert share.division.line.buy.title in change.sentence


def test_a_lot_is_said_to_be_of_a_farm(as_member, member, coop, lot):
    farm = factories.make_farm(coop)
    answer = as_member.post(page(member, "origin", lot.pk), {"origin": f"farm {farm.pk}"})
    assert answer.status_code == 302
    lot.refresh_from_db()
    assert (lot.share, lot.farm) == (None, farm)


def test_another_households_share_and_other_produce_are_not_offered(
    as_member, member, share, other_household
):
    theirs = share.division.shares.get(household=other_household)
    corn = rows.make_lot(member.household)
    beans = rows.make_lot(member.household, produce="snap_beans", product="pieces")
    for lot, wrong in ((corn, theirs), (beans, share)):
        at = page(member, "origin", lot.pk)
        for origin in (f"share {wrong.pk}", "", "x"):
            assert as_member.post(at, {"origin": origin}).status_code == 422
    assert not Lot.objects.filter(share__isnull=False).exists()


def test_of_two_shares_the_newest_stands_first(as_member, member, coop, lot, share):
    older = buy_factories.make_divided_buy(coop, shares={member.household: 200}, title="Older")
    for name in ("asks_close_at", "pickup_from", "pickup_to"):
        setattr(older, name, getattr(older, name) - timedelta(days=30))
    older.save()
    group = main_of(as_member.get(page(member, "origin", lot.pk))).select("optgroup")[0]
    options = [each.get_text() for each in group.select("option")]
    assert len(options) == 2
    assert options[1].startswith("Older")
