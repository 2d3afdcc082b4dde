"""The sheet to tape on a thing: what it says, and where its QR code leads."""

import re

import pytest
import segno

from coop.core.tables import cautions
from tests.web import equipment_factories as rows
from tests.web.reading import main_of, sections_of, text_of

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite


def sheet(client, thing):
    return client.get(f"/cottonwood/equipment/things/{thing.pk}/sheet/")


def modules_of(path):
    """The dark modules that a path of bars covers."""
    bars = re.findall(r"M(\d+) (\d+)h(\d+)v1h-\3z", path)
    return {(int(x) + step, int(y)) for x, y, length in bars for step in range(int(length))}


def test_the_code_opens_the_handover(as_member, coop):
    thing = rows.make_thing(coop, "scale")
    page = main_of(sheet(as_member, thing))
    url = f"http://testserver/cottonwood/equipment/things/{thing.pk}/handover/"
    assert url in page.get_text()
    # ISO/IEC 18004 through another road: segno's own matrix of the same text.
    matrix = segno.make(url, error="m", micro=False).matrix
    dark = {(x, y) for y, row in enumerate(matrix) for x, bit in enumerate(row) if bit & 1}
    assert modules_of(page.select_one(".tag-qr path")["d"]) == dark
    # Four modules of quiet zone on each side, by the same standard.
    side = len(matrix)
    assert page.select_one(".tag-qr")["viewbox"] == f"-4 -4 {side + 8} {side + 8}"


def test_it_says_whose_it_is_where_it_lives_and_what_to_count(as_member, other_household):
    other_household.phone = "555-0142"
    other_household.save()
    thing = rows.make_thing(
        owner=other_household,
        kind="mill",
        name="Red mill",
        home="Blue shed",
        parts={"screen": 3, "auger": 1},
        fee_cents=200,
        deposit_cents=2500,
        use_note="Feed it slowly. " * 100,
    )
    text = text_of(sheet(as_member, thing))
    for said in ("Red mill", "belongs to Dufresne, 555-0142", "Home: Blue shed"):
        assert said in text
    sections = sections_of(sheet(as_member, thing))
    assert "3 screens 1 auger" in sections["Count these"]
    assert "Fee $2.00 a use" in sections["About it"]
    assert "Deposit $25.00" in sections["About it"]
    # A note as long as a page would not fit the sheet: its beginning stands there.
    [use] = re.findall(r"How to use it: (.*?…)", sections["About it"])
    assert len(use) <= 250


def test_it_tells_what_to_heed_with_its_sources(as_member, coop):
    """The gists are those of cautions.csv (USDA15 and those it names), word by word."""
    heed = sections_of(sheet(as_member, rows.make_dial_canner(coop)))["Heed"]
    for topic in ("pressure_canner", "dial_gauge", "burns", "lifting"):
        for each in cautions(topic):
            assert each.gist in heed
    assert "From: Complete Guide to Home Canning" in heed


def test_a_dial_that_nobody_tested_warns_here_too(as_member, coop):
    text = text_of(sheet(as_member, rows.make_dial_canner(coop, name="Big canner")))
    assert "The dial gauge of Big canner has" in text
    assert "Dropped or bumped? Say so." in text
    weighted = text_of(sheet(as_member, rows.make_thing(coop, gauge="weighted")))
    assert "Dropped or bumped?" not in weighted
