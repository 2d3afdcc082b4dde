"""One lot: its page, counting out, frozen and dried ones, finding it by its code."""

import pytest

from coop.core.lot_codes import code_of
from coop.kitchen.models import Lot
from coop.people.models import Change
from tests.web import buy_factories, factories
from tests.web.kitchen.loading import page
from tests.web.kitchen_factories import make_load, make_lot, make_plan, make_taken, make_use
from tests.web.reading import main_of, text_of


@pytest.fixture
def lot(member, coordinator):
    """Seven quarts of corn that went in, out of a load that the coordinator wrote down."""
    return make_lot(member.household, load=make_load(by=coordinator))


def count(client, member, lot, out, why=""):
    typed = {"counted_out": out, "why": why}
    answer = client.post(page(member, "count_out", lot.pk), typed)
    lot.refresh_from_db()
    return answer


# ---- Counting out ---------------------------------------------------------------------------
def test_as_many_as_went_in_need_no_reason(as_member, member, lot):
    assert count(as_member, member, lot, 7, "nothing broke").status_code == 302
    assert (lot.counted_out, lot.difference_why) == (7, "")


@pytest.mark.parametrize("out", (6, 8, 0))
def test_a_difference_is_explained(as_member, member, lot, out):
    answer = count(as_member, member, lot, out)
    assert answer.status_code == 422
    assert f"7 went in and {out} came out. Say why" in text_of(answer)
    assert lot.counted_out is None
    assert count(as_member, member, lot, out, "As the shelf shows").status_code == 302
    assert (lot.counted_out, lot.difference_why) == (out, "As the shelf shows")


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("out", ("", "-1", "seven", "99999"))
def test_a_count_that_is_none_is_refused(as_member, member, lot, out):
    assert count(as_member, member, lot, out, "why").status_code == 422
    assert lot.counted_out is None


def test_the_count_stays_in_the_history(as_member, member, lot):
    count(as_member, member, lot, 6, "One broke in the canner")
    change = Change.objects.get(about=f"lot:{lot.pk}")
    assert change.sentence == "6 quarts counted out of 7: One broke in the canner"
    assert (change.before["counted_out"], change.after["counted_out"]) == (None, 6)
    assert change.sentence in text_of(as_member.get(page(member, "lot", lot.pk)))


def test_who_may_count(
    as_coordinator, as_other_household_member, as_treasurer, as_outsider, member, lot
):
    assert count(as_other_household_member, member, lot, 7).status_code == 403
    assert count(as_treasurer, member, lot, 7).status_code == 403
    assert count(as_outsider, member, lot, 7).status_code == 404
    assert lot.counted_out is None
    assert count(as_coordinator, member, lot, 7).status_code == 302


def test_who_wrote_the_load_counts_everybodys_jars(
    as_other_household_member, other_household_member, member
):
    lot = make_lot(member.household, load=make_load(by=other_household_member))
    assert count(as_other_household_member, member, lot, 7).status_code == 302


def test_a_second_count_mends_the_first(as_member, member, lot):
    count(as_member, member, lot, 6, "One broke")
    assert count(as_member, member, lot, 7).status_code == 302
    assert (lot.counted_out, lot.difference_why) == (7, "")


def test_fewer_than_sealed_cannot_have_come_out(as_member, member):
    lot = make_lot(member.household, sealed=6)
    answer = count(as_member, member, lot, 5, "I miscounted")
    assert "6 of them are known to have sealed" in text_of(answer)
    assert lot.counted_out == 7


@pytest.mark.sqlite  # about the page alone
def test_looking_at_the_form_counts_nothing(as_member, member, lot):
    assert as_member.get(page(member, "count_out", lot.pk)).status_code == 200
    lot.refresh_from_db()
    assert lot.counted_out is None


# ---- The page -------------------------------------------------------------------------------
def test_the_page_says_what_and_where_from(as_other_household_member, member, coordinator):
    household = member.household
    buy = buy_factories.make_divided_buy(coordinator=coordinator, shares={household: 335})
    share = buy_factories.the_line(buy).divisions.get().shares.get()
    farm = buy_factories.the_supply(buy).farm
    lot = make_lot(household, number=572, sealed=6, share=share, farm=farm, mouth="wide")
    make_taken(lot, 2)
    told = text_of(as_other_household_member.get(page(member, "lot", lot.pk)))
    # 572 with its check digit 4: the example of H. M. Damm, dissertation, Marburg 2004.
    assert "57 24 The code, to be read out" in told
    assert "4 on the shelf quart jars, wide mouth" in told
    for words in ("Castell", "Sweet corn, whole kernel", farm.name, buy.title, "Taken 2 quarts"):
        assert words in told


@pytest.mark.sqlite  # about the page alone
def test_another_coops_lot_is_not_found(as_outsider, outsider, lot, member):
    for name in ("lot", "count_out", "seals", "unsealed"):
        assert as_outsider.get(page(outsider, name, lot.pk)).status_code == 404
        assert as_outsider.get(page(member, name, lot.pk)).status_code == 404


@pytest.mark.sqlite  # as many queries on any database
def test_the_page_asks_the_database_as_often_whatever_the_load_holds(
    as_member, member, lot, django_assert_num_queries, django_assert_max_num_queries
):
    address = page(member, "lot", lot.pk)
    with django_assert_max_num_queries(16) as first:
        as_member.get(address)
    for _ in range(5):
        make_lot(factories.make_household(member.coop), load=lot.load)
    with django_assert_num_queries(len(first)):
        as_member.get(address)


# ---- Frozen and dried -----------------------------------------------------------------------
def kept(member, **others):
    usual = {
        "household": member.household_id,
        "key": "freeze|sweet_corn|whole_kernel",
        "jar": "pint",
        "count": 12,
        "made_on": "2026-08-11",
    }
    return usual | others


def test_frozen_food_stands_on_the_shelf_at_once(as_member, member):
    answer = as_member.post(page(member, "new_lot"), kept(member))
    lot = Lot.objects.get()
    assert answer.headers["Location"] == page(member, "lot", lot.pk)
    assert (lot.way, lot.load, lot.counted_in, lot.jar, lot.number) == (
        "freeze",
        None,
        12,
        "pint",
        101,
    )
    told = text_of(as_member.get(page(member, "lot", lot.pk)))
    assert "12 on the shelf pint freezer containers" in told
    assert "seal" not in told


def test_what_is_frozen_or_dried_is_chosen_by_produce(as_member, member):
    group = main_of(as_member.get(page(member, "new_lot"))).select_one(
        "optgroup[label='Sweet corn']"
    )
    said = [option.get_text() for option in group.select("option")]
    assert "Frozen: sweet corn, whole kernel" in said
    assert any(each.startswith("Dried: sweet corn") for each in said)


def test_dried_food_is_in_packets(as_member, member):
    key = next(
        option["value"]
        for option in main_of(as_member.get(page(member, "new_lot"))).select("#id_key option")
        if option["value"].startswith("dry|apples")
    )
    as_member.post(page(member, "new_lot"), kept(member, key=key, jar="pint", count=3))
    lot = Lot.objects.get()
    assert (lot.way, lot.jar, lot.counted_in) == ("dry", "", 3)
    assert "Put away 3 packets" in text_of(as_member.get(page(member, "lot", lot.pk)))


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("wrong", "sentence"),
    (
        ({"jar": ""}, "in which containers it is frozen"),
        ({"count": 0}, "greater than or equal to 1"),
        ({"made_on": "2026-08-12"}, "still to come"),
        ({"made_on": "soon"}, "Enter a valid date"),
        ({"key": "freeze|cake|slices"}, "Select a valid choice"),
        ({"household": ""}, "This field is required"),
    ),
)
def test_what_is_wrong_with_it_is_said(as_member, member, wrong, sentence):
    answer = as_member.post(page(member, "new_lot"), kept(member, **wrong))
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    assert not Lot.objects.exists()


def test_it_is_written_down_for_ones_own_household(
    as_other_household_member, as_coordinator, member
):
    address = page(member, "new_lot")
    assert as_other_household_member.post(address, kept(member)).status_code == 403
    assert not Lot.objects.exists()
    assert as_coordinator.post(address, kept(member)).status_code == 302


def test_the_form_sent_twice_is_one_lot(as_member, member):
    as_member.post(page(member, "new_lot"), kept(member))
    assert as_member.post(page(member, "new_lot"), kept(member)).status_code == 422
    assert Lot.objects.count() == 1


def test_a_use_fills_it_in(as_member, member, outsider):
    use = make_use(make_plan(member.household), way="freeze")
    address = page(member, "new_lot", query=f"?use={use.pk}")
    chosen = main_of(as_member.get(address)).select("option[selected]")
    assert "freeze|sweet_corn|whole_kernel" in {option["value"] for option in chosen}
    as_member.post(address, kept(member))
    assert Lot.objects.get().use == use
    theirs = make_use(make_plan(outsider.household), way="freeze")
    assert as_member.get(page(member, "new_lot", query=f"?use={theirs.pk}")).status_code == 404


def test_what_is_frozen_has_no_seals(as_member, member):
    lot = make_lot(member.household, way="freeze")
    for name in ("count_out", "seals", "unsealed"):
        assert as_member.get(page(member, name, lot.pk)).status_code == 404


# ---- By its code ----------------------------------------------------------------------------
@pytest.mark.parametrize("written", ("5724", "#57-24", " 57 24 ", "005724"))
def test_a_code_leads_to_its_lot_however_it_is_written(as_member, member, written):
    lot = make_lot(member.household, number=572)
    for answer in (
        as_member.get(page(member, "find_lot"), {"code": written}),
        as_member.get(page(member, "lot_by_code", written)),
    ):
        assert answer.headers["Location"] == page(member, "lot", lot.pk)


@pytest.mark.sqlite  # about the page alone
def test_a_wrong_check_digit_gets_its_sentence(as_member, member):
    make_lot(member.household, number=572)
    answer = as_member.get(page(member, "find_lot"), {"code": "5742"})
    assert answer.status_code == 404
    assert "a digit was misheard or two changed places" in text_of(answer)
    assert main_of(answer).select_one("#id_code")["value"] == "5742"


@pytest.mark.sqlite  # about the page alone
def test_without_a_code_its_box_is_there(as_member, member):
    answer = as_member.get(page(member, "find_lot"))
    assert answer.status_code == 200
    assert main_of(answer).select_one("#id_code") is not None


def test_no_such_lot_and_another_coops_are_the_same(as_member, member, outsider):
    make_lot(outsider.household, number=800)
    answers = [as_member.get(page(member, "lot_by_code", code_of(number))) for number in (800, 801)]
    assert [answer.status_code for answer in answers] == [404, 404]
    told = {text_of(answer) for answer in answers}
    assert len(told) == 1
    assert "There is no such lot in this co-op" in told.pop()


# ---- The list -------------------------------------------------------------------------------
def test_the_list_has_loads_with_their_lots_newest_first(as_member, member, other_household):
    make_lot(member.household, load=make_load(member.coop, canner="The old pot"))
    make_lot(other_household, load=make_load(member.coop, canner="The new pot"), sealed=6)
    make_lot(other_household, way="freeze")
    told = text_of(as_member.get(page(member, "loads")))
    assert told.index("The new pot") < told.index("The old pot")
    assert "6 of 7 quarts sealed" in told
    assert "7 pint containers" in told


def test_it_is_narrowed_to_a_household_and_a_product(as_member, member, other_household):
    load = make_load(member.coop, canner="The shared pot")
    make_lot(member.household, load=load)
    make_lot(
        other_household, load=make_load(member.coop, canner="The beans' pot"), product="pieces"
    )
    address = page(member, "loads", query=f"?household={member.household_id}")
    told = text_of(as_member.get(address))
    assert "The shared pot" in told
    assert "The beans' pot" not in told
    told = text_of(as_member.get(page(member, "loads", query="?product=sweet_corn|pieces")))
    assert "The shared pot" not in told
    assert "The beans' pot" in told


def test_a_household_without_lots_reads_that_there_are_none(as_member, member, lot):
    told = text_of(as_member.get(page(member, "loads", query="?household=99999&page=x")))
    assert "Nothing of that" in told


@pytest.mark.sqlite  # about the page alone
def test_finding_is_folded_until_something_is_chosen(as_member, member, lot):
    fold = main_of(as_member.get(page(member, "loads"))).select_one("details.fold.screen-only")
    assert fold.select("form [name=code]")
    assert fold.select("form [name=product]")
    assert not fold.has_attr("open")
    chosen = page(member, "loads", query=f"?household={member.household_id}")
    assert main_of(as_member.get(chosen)).select_one("details.fold.screen-only").has_attr("open")


@pytest.mark.sqlite  # about the page alone
def test_an_empty_list_says_what_it_is_for(as_member, member):
    assert "No load is written down yet" in text_of(as_member.get(page(member, "loads")))


def test_another_coops_loads_are_not_listed(as_member, member, outsider):
    make_lot(outsider.household, load=make_load(outsider.coop, canner="Their pot"))
    assert "Their pot" not in text_of(as_member.get(page(member, "loads")))


@pytest.mark.sqlite  # as many queries on any database
def test_a_long_list_is_paged_and_asks_the_database_as_often(
    as_member, member, django_assert_num_queries, django_assert_max_num_queries
):
    address = page(member, "loads")

    def loads(number):
        for _ in range(number):
            made = make_load(member.coop, canner=f"Pot {factories.number()}")
            make_lot(member.household, load=made)

    loads(8)
    with django_assert_max_num_queries(16) as first:
        assert main_of(as_member.get(address)).select("h2 a").__len__() == 8
    loads(14)
    with django_assert_num_queries(len(first)):
        answer = as_member.get(address)
    assert len(main_of(answer).select("h2 a")) == 20
    assert len(main_of(as_member.get(address + "?page=2")).select("h2 a")) == 2
