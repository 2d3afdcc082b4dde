"""Keys of the tables in words, and a farm's words as a key."""

import pytest

from coop.core import tables
from coop.core.preserving import (
    acid_words,
    also_under,
    form_words,
    jar_words,
    method_words,
    pack_words,
    processes_at,
    produce_named,
    produce_words,
    product_words,
    syrup_words,
)


@pytest.mark.parametrize(
    ("line", "produce"),
    [
        ("Sweet corn, bicolour", "sweet_corn"),
        ("SWEET CORN", "sweet_corn"),
        ("Corn", "sweet_corn"),
        ("Tomatoes", "tomato"),
        ("Tomato", "tomato"),
        ("Cherry tomatoes", "tomato"),
        ("Tomatoes, cherry", "tomato"),
        ("Tomatillos", "tomatillos"),
        ("Roma tomatoes (paste), 25 lb box", "tomato"),
        ("Green beans", "snap_beans"),
        ("Beans, green", "snap_beans"),
        ("Lima beans", "lima_beans"),
        ("Peaches, freestone", "peaches"),
        ("Strawberries", "strawberries"),
        ("Raspberries", "berries"),
        ("Blueberries", "blueberries"),
        ("Cherries - sour", "cherries"),
        ("Apples, Honeycrisp", "apples"),
        ("Pineapples", "pineapple"),
        ("Crab apples", "crab_apples"),
        ("Asian pears", "asian_pears"),
        ("Potatoes, red", "potatoes_white"),
        ("Sweet potatoes", "sweet_potatoes"),
        ("Butternut squash", "pumpkin_winter_squash"),
        ("Summer squash", "summer_squash"),
        ("Pickling cucumbers", "cucumbers"),
        ("Brussels sprouts", "brussels_sprouts"),
    ],
)
def test_a_farms_line_names_a_produce(line: str, produce: str) -> None:
    assert produce_named(line) == produce


@pytest.mark.parametrize(
    "line",
    [
        "",
        "Eggs",
        "Squash",
        "Beans",
        "Sugar snap peas",
        "Black-eyed peas",
        "Apple cider",
        "Tomato plants",
    ],
)
def test_what_the_tables_do_not_have_or_cannot_tell_is_no_produce(line: str) -> None:
    assert produce_named(line) is None


def test_every_produce_with_a_process_is_found_by_its_own_words() -> None:
    mixtures = {"fruit_any", "soup", "mixed_vegetables", "succotash"}
    produce = {row.produce for row in tables.process_rows()} - mixtures
    for key in produce:
        assert produce_named(key.replace("_", " ")) == key


def test_no_key_shows_its_underscores() -> None:
    words = [
        *(produce_words(row.produce) for row in tables.process_rows()),
        *(product_words(row.product) for row in tables.process_rows()),
        *(form_words(row.form) for row in (*tables.freezing_rows(), *tables.drying_rows())),
        *(acid_words(row.acid) for row in tables.acid_rows()),
        *(syrup_words(row.syrup) for row in tables.syrup_rows()),
        *map(jar_words, tables.JARS),
        *map(method_words, tables.METHODS),
        *map(pack_words, tables.PACKS),
    ]
    assert len(words) > 3000
    assert [word for word in words if "_" in word or not word.strip()] == []


def test_products_of_one_produce_read_differently() -> None:
    keys = {(row.produce, row.product) for row in tables.process_rows()}
    words = {(produce_words(produce), product_words(product)) for produce, product in keys}
    assert len(words) == len(keys)


def test_words_are_those_of_a_cook() -> None:
    assert method_words("weighted_gauge") == "pressure canner, weighted gauge"
    assert [jar_words("half_gallon"), jar_words("pint", 9)] == ["half-gallon", "pints"]
    assert form_words("florets_1.5_in") == "florets, 1 1/2 in"
    assert syrup_words("very_heavy") == "very heavy syrup"


def test_blueberries_are_berries_and_fruit_but_figs_and_tomatoes_are_neither() -> None:
    # USDA Complete Guide to Home Canning, 2015, guide 2: berries, whole, names blueberries; fruit
    # purees are not for Asian pears, figs, tomatoes or melons.
    assert also_under("blueberries") == ("berries", "fruit_any")
    assert also_under("peaches") == ("fruit_any",)
    for produce in ("figs", "asian_pears", "tomato", "cantaloupe", "sweet_corn", "kohlrabi"):
        assert also_under(produce) == ()
    for wider in also_under("blueberries"):
        assert processes_at(0, wider)
