"""From a published share to jars on a shelf, and back from a jar to the farm."""

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from coop.kitchen.models import Lot as LotRow
from tests.browser import by_the_tables
from tests.browser.jar_pages import Jars, Loan, Lot, NewLoad, Plan
from tests.browser.pages import On

COORDINATOR, COOK, LENDER = "Adeyemi", "Castell", "Dufresne"
FARM, BUY, PRODUCE = "Fennick Farm", "Sweet corn", "Sweet corn"
MILL, FEET = "The mill kitchen", 6120  # above 6,000 ft, where the co-op itself is not
SHARE, CANNED, FROZEN = 143, 108, 35  # pounds in the husk: three bushels and a little, and one
A_LOAD = by_the_tables.QUARTS_A_LOAD
CORN = by_the_tables.Way("sweet_corn", "whole_kernel", "hot", "dial_gauge", "quart")
KIND = "Quart, regular mouth"
LENT, HAS_SPARE = 24, 30
CANNER = "Our dial gauge canner"


@dataclass
class Kept:
    """Who takes part, each with a page, and what is found out on the way."""

    coop: Any
    at: dict[str, Any]
    code: str = ""

    @property
    def cook(self) -> Any:
        return self.at[COOK]

    @property
    def lender(self) -> Any:
        return self.at[LENDER]

    @property
    def coordinator(self) -> Any:
        return self.at[COORDINATOR]


def likely() -> int:
    return by_the_tables.quarts(CORN, CANNED)[1]


def figures() -> tuple[str, str]:
    """Minutes and pounds of pressure at the mill."""
    row = by_the_tables.process(CORN, FEET)
    return row["minutes"], row["pressure_psi"]


# ---- Planning -------------------------------------------------------------------------------
def the_coordinator_adds_a_kitchen_up_the_hill(story: Kept) -> None:
    Jars(story.coordinator).add_kitchen(MILL, f"{FEET}")
    assert On(story.coordinator).says(MILL)


def the_lender_counts_what_it_can_spare(story: Kept) -> None:
    page = Jars(story.lender)
    page.live_at("40.60", "-113.60")
    jars = {"Full": 6, "Empty": 40, "Spare": HAS_SPARE}
    page.count(KIND, jars, lids={"New lids": 12, "Bands": 50})
    assert page.says(f"{HAS_SPARE} of them spare")


def the_cook_plans_the_share(story: Kept) -> None:
    Jars(story.cook).live_at("40.62", "-113.60")
    Jars(story.cook).count(KIND, {"Full": 2}, lids={"New lids": 60, "Bands": 60})
    plan = Plan(story.cook)
    plan.begin(PRODUCE, f"{MILL}, {FEET:,} ft")
    assert plan.says(f"{SHARE} lb of {SHARE} lb not planned yet")
    plan.choose("Whole kernel, Quarts, hot pack, Pressure canner, dial gauge", among="Whole")
    minutes, psi = figures()
    assert plan.says(f"{minutes} minutes at {psi} psi, at {FEET:,} ft")
    plan.put_in(CANNED)


def its_quarts_are_those_of_the_published_tables(story: Kept) -> None:
    plate = Plan(story.cook).plate("Whole kernel, canned")
    low, middle, high = by_the_tables.quarts(CORN, CANNED)
    minutes, psi = figures()
    loads = by_the_tables.loads(middle, A_LOAD)
    more, pounds = by_the_tables.to_fill(CORN, CANNED, A_LOAD)
    assert f"{middle} quarts, likely {low} to {high} by the published yields" in plate
    assert f"{minutes} min at {psi} psi at {FEET:,} ft" in plate
    assert f"{len(loads)} loads of {A_LOAD}" in plate
    assert f"Load {len(loads)} holds {loads[-1]} of {A_LOAD}" in plate
    assert f"about {int(pounds)} lb more would fill it" in plate
    assert (more + loads[-1]) == A_LOAD
    for stove in by_the_tables.stove_minutes(CORN, FEET):
        hours, rest = divmod(stove * len(loads), 60)
        assert f"{hours} h {rest} min" in plate


def the_rest_is_frozen(story: Kept) -> None:
    plan = Plan(story.cook)
    assert plan.says(f"{SHARE - CANNED} lb not planned yet")
    plan.choose("Frozen, Whole kernel")
    plan.put_in(FROZEN)
    low, middle, high = by_the_tables.frozen_pints("sweet_corn", "whole_kernel", FROZEN)
    plate = plan.plate("Whole kernel, frozen")
    assert f"{middle} pints, likely {low} to {high} by the published yields" in plate
    assert f"{by_the_tables.blanch_minutes('sweet_corn', 'whole_kernel')} min of blanching" in plate
    assert plan.says("All of it is planned")


# ---- Borrowing ------------------------------------------------------------------------------
def the_cook_borrows_the_jars_that_it_lacks(story: Kept) -> None:
    plan = Plan(story.cook)
    wanted, _, there, lacking = next(
        cells for what, cells in plan.wanted().items() if what.startswith(KIND)
    )
    assert (wanted, there) == (f"{likely()}", "0")
    assert lacking.split()[0] == f"{LENT}"
    plan.follow("Who has some")
    assert plan.says("about 1")  # miles: two hundredths of a degree of latitude are 1.4
    Loan(story.cook).ask(LENDER, KIND, LENT)
    assert plan.says(f"{LENT} quarts, regular mouth")


def the_lender_says_yes_and_hands_them_over(story: Kept) -> None:
    loan = Loan(story.lender)
    loan.page.goto(f"/{story.coop.slug}/")
    loan.page.get_by_role("link", name=re.compile(f"^Answer.*{COOK}")).click()
    loan.press("Say yes")
    loan.fill(KIND, LENT)
    loan.press("They changed hands")
    assert next(iter(loan.out().values()))[-1] == f"{LENT}"
    Jars(story.lender).open()
    assert loan.says(f"{40 - LENT} empty")
    assert loan.says(f"{HAS_SPARE - LENT} of them spare")


def the_plan_lacks_nothing_now(story: Kept) -> None:
    plan = Plan(story.cook)
    plan.open(f"{SHARE} lb of {PRODUCE}")
    for wanted, sure, there, lacking in plan.wanted().values():
        assert int(there) >= int(wanted)
        short = int(sure) - int(there)
        enough = f"enough for the likely {wanted}; {short} short of {sure}"
        assert lacking == (enough if short > 0 else "none")


# ---- Cooking --------------------------------------------------------------------------------
def the_kitchen_card_says_it_all(story: Kept) -> bytes:
    plan = Plan(story.cook)
    minutes, psi = figures()
    loads = plan.to_the_card("Whole kernel, canned")
    assert [cells[0] for cells in loads.values()] == [
        f"{jars}" for jars in by_the_tables.loads(likely(), A_LOAD)
    ]
    assert plan.says(f"{minutes} minutes at {psi} psi")
    assert plan.says(f"Headspace: {by_the_tables.process(CORN, FEET)['headspace_in']} in")
    story.cook.emulate_media(media="print")
    printed: bytes = story.cook.pdf(format="Letter", prefer_css_page_size=True)
    story.cook.emulate_media(media="screen")
    return printed


def a_load_is_written_down(story: Kept) -> None:
    minutes, psi = figures()
    now = datetime.now(ZoneInfo(story.coop.time_zone))
    run = {
        "minutes": minutes, "psi": psi, "vented": 10, "ended": now - timedelta(hours=14),
        "gauge": now.date() - timedelta(days=60), "watcher": f"Kim {COOK}",
    }  # fmt: skip
    Plan(story.cook).open(f"{SHARE} lb of {PRODUCE}")
    NewLoad(story.cook).write(A_LOAD, CANNER, run)
    assert On(story.cook).says(f"{minutes} min at {psi} psi")


def one_seal_failed(story: Kept) -> None:
    lot = Lot(story.cook)
    lot.step("Count out", "Jars that came out", A_LOAD)
    lot.step("Seals|Try the seals", f"How many of the {A_LOAD} sealed", A_LOAD - 1)
    if "unsealed" not in lot.page.url:
        lot.page.get_by_role("link", name=re.compile("^Say it|^What did not seal")).first.click()
    lot.fill("Into the fridge", 1)
    lot.press("Write it down")
    assert lot.says(f"{A_LOAD - 1} on the shelf")
    story.code = by_the_tables.lot_code(LotRow.objects.get().number)
    assert lot.says(" ".join([story.code[:-2], story.code[-2:]]))


# ---- The label and the trace ----------------------------------------------------------------
def the_labels_are_printed(story: Kept) -> bytes:
    page = On(story.cook)
    page.follow("Labels")
    assert page.says(f"{A_LOAD - 1} labels on 1 sheet")
    # Where a line of the label ends is its own affair.
    words = re.sub(r"\s", "", story.cook.locator("svg.sheet defs").text_content())
    for said in ("Sweetcorn,wholekernel", "hotpack,quart", COOK, f"Lot{story.code}"):
        assert said in words
    story.cook.emulate_media(media="print")
    printed: bytes = story.cook.pdf(prefer_css_page_size=True)
    story.cook.emulate_media(media="screen")
    return printed


def its_jar_is_traced_to_the_farm(story: Kept) -> None:
    lot = Lot(story.coordinator)
    lot.trace(story.code)
    assert FARM in lot.table("Deliveries")
    assert lot.says(f"{COOK} got {SHARE} lb of it")
    assert lot.says(CANNER)
    ((_, where),) = lot.table("Jars of this lot").items()
    assert where[1:5] == [COOK, f"{A_LOAD}", f"{A_LOAD - 1}", f"{A_LOAD - 1}"]
