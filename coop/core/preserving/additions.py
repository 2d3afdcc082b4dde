"""What goes into the jars beside the food: acid for safety, salt for taste, syrup for fruit."""

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Literal

from coop.core.preserving.pounds import whole_count
from coop.core.preserving.process import Process
from coop.core.preserving.words import (
    acid_words,
    jar_words,
    produce_in_sentence,
    product_words,
    syrup_words,
)
from coop.core.preserving.yields import PINTS, PINTS_A_LOAD, QUARTS_A_LOAD
from coop.core.tables import AcidRow, SaltRow, SyrupRow, acid_rows, salt_rows, syrup_rows

#: The acid of the table's row on tomatoes goes into each of these (USDA Complete Guide, 2015).
TOMATO_ROW = ("tomato", "whole_crushed_juice_or_sauce")
TOMATO_PRODUCTS = (
    "juice",
    "vegetable_juice_blend",
    "crushed",
    "sauce_thin",
    "sauce_thick",
    "whole_or_halved_in_water",
    "whole_or_halved_in_juice",
    "whole_or_halved_raw_no_liquid",
)
#: Fruits that the table of syrups names, in the products that are packed in syrup.
IN_SYRUP = frozenset(
    {
        ("apples", "sliced"),
        ("apricots", "halved_or_sliced"),
        ("berries", "whole"),
        ("cherries", "whole"),
        ("grapes", "whole"),
        ("nectarines", "halved_or_sliced"),
        ("peaches", "halved_or_sliced"),
        ("pears", "halved"),
        ("plums", "halved_or_whole"),
    }
)


class NoAcid(LookupError):
    """No amount of acid can be given, and without it the jar is not safe; `sentence` says why."""

    def __init__(self, sentence: str) -> None:
        """Say in a sentence why there is no amount."""
        super().__init__(sentence)
        self.sentence = sentence


class NoSyrup(LookupError):
    """No such syrup is published for this product; `sentence` says so."""

    def __init__(self, sentence: str) -> None:
        """Say in a sentence which syrup is not there."""
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True)
class Acid:
    """One acid that may be chosen, and how much of it goes into one jar."""

    acid: str
    amount: Fraction
    unit: str
    source: tuple[str, ...]


@dataclass(frozen=True)
class Amount:
    """How much of one thing for all jars together, such as 3 1/2 teaspoons."""

    amount: Fraction
    unit: str
    source: tuple[str, ...]


@dataclass(frozen=True)
class Syrup:
    """Cups of water and sugar for all jars together."""

    water_cups: Fraction
    sugar_cups: Fraction
    source: tuple[str, ...]


def acid_kind(process: Process) -> Literal["none", "jar", "recipe"]:
    """Whether no acid is asked for, some goes into each jar, or it is part of the tested recipe.

    Raises: NoAcid if the process asks for acid and neither is known: such a jar must not be filled.
    """
    if not process.acidify:
        return "none"
    if _acid_key(process) in _with_jar_acid():
        return "jar"
    if "tested recipe" in process.note:
        return "recipe"
    raise NoAcid(f"{_food(process)} must have acid, and no amount of it is published.")


def acids_for(process: Process) -> tuple[Acid, ...]:
    """The acids of which one must go into every jar of this process; () where none is asked.

    Raises: NoAcid if acid must go into each jar and no amount is printed for this jar size.

    >>> from coop.core.preserving.process import find_process
    >>> pints = find_process("tomato", "juice", "hot", "boiling_water", "pint", 0)
    >>> [(each.acid, str(each.amount), each.unit) for each in acids_for(pints)]
    [('bottled_lemon_juice', '1', 'tablespoon'), ('citric_acid', '1/4', 'teaspoon')]
    """
    if acid_kind(process) != "jar":
        return ()
    found = tuple(
        Acid(row.acid, row.amount, row.unit, row.source)
        for row in _jar_acids(process)
        if row.jar == process.jar
    )
    if not found:
        raise NoAcid(
            f"{_food(process)} must have acid, and no amount is printed for "
            f"{jar_words(process.jar, 2)}."
        )
    return found


def needs_recipe_acid(process: Process) -> bool:
    """Whether the acid is that of the tested recipe, which must be kept as it is.

    Raises: NoAcid as `acid_kind`.
    """
    return acid_kind(process) == "recipe"


def acid_needed(process: Process, acid: str | None, jars: int) -> Amount:
    """How much of the chosen acid a number of jars needs.

    Parameters:
        process: what is canned.
        acid: one of `acids_for(process)`.
        jars: how many jars of the process's size, 0 or more.

    Raises: NoAcid if none is chosen, if no amount of it is printed for this jar (vinegar in pints),
    or if the process takes none or that of its recipe; ValueError for a wrong number of jars.
    """
    whole_count("Jars", jars)
    kind = acid_kind(process)
    if kind == "none":
        raise NoAcid(f"{_food(process)} is processed without added acid.")
    if kind == "recipe":
        raise NoAcid(f"The acid for {_food(process, begins=False)} is the tested recipe's own.")
    if not acid:
        raise NoAcid(f"{_food(process)} must have acid in every jar: choose one.")
    for choice in acids_for(process):
        if choice.acid == acid:
            return Amount(choice.amount * jars, choice.unit, choice.source)
    raise NoAcid(
        f"No amount of {acid_words(acid)} is printed for {jar_words(process.jar, 2)} of "
        f"{_food(process, begins=False)}."
    )


def salt_needed(process: Process, jars: int) -> Amount | None:
    """Salt for taste for a number of jars, by volume; None where no seasoning is printed.

    It may be left out. Salt of a crock, a brine or a tested recipe is not meant here, and may not.

    Raises: ValueError for a wrong number of jars.
    """
    whole_count("Jars", jars)
    rows = {
        row.per: row
        for row in _seasonings()
        if (row.produce, row.product) == (process.produce, process.product)
    }
    for per in dict.fromkeys((process.jar, "quart", "pint")):
        if per in rows:
            row = rows[per]
            amount = row.salt_amount * jars * PINTS[process.jar] / PINTS[per]
            return Amount(amount, row.salt_unit, row.source)
    return None


def syrups_for(process: Process) -> tuple[str, ...]:
    """The syrups that may be chosen, the least sweet first; () for what is not packed in syrup."""
    if (process.produce, process.product) not in IN_SYRUP:
        return ()
    return tuple(dict.fromkeys(row.syrup for row in syrup_rows()))


def syrup_needed(process: Process, syrup: str, jars: int) -> Syrup:
    """Water and sugar for a number of jars, in proportion to a load of 7 quarts or of 9 pints.

    Raises: NoSyrup if the syrup is none of `syrups_for(process)`; ValueError for wrong jars.
    """
    whole_count("Jars", jars)
    if syrup not in syrups_for(process):
        raise NoSyrup(f"No {syrup_words(syrup)} is published for {_food(process, begins=False)}.")
    quarts = PINTS[process.jar] >= PINTS["quart"]
    load = "7_quarts" if quarts else "9_pints"
    pints_a_load = QUARTS_A_LOAD * PINTS["quart"] if quarts else PINTS_A_LOAD * PINTS["pint"]
    row = _syrups()[syrup, load]
    part = jars * PINTS[process.jar] / pints_a_load
    return Syrup(row.water_cups * part, row.sugar_cups * part, row.source)


def _acid_key(process: Process) -> tuple[str, str]:
    key = (process.produce, process.product)
    return TOMATO_ROW if key in {("tomato", each) for each in TOMATO_PRODUCTS} else key


def _jar_acids(process: Process) -> list[AcidRow]:
    key = _acid_key(process)
    return [
        row for row in acid_rows() if row.purpose == "safety" and (row.produce, row.product) == key
    ]


@cache
def _with_jar_acid() -> frozenset[tuple[str, str]]:
    return frozenset((row.produce, row.product) for row in acid_rows() if row.purpose == "safety")


@cache
def _seasonings() -> tuple[SaltRow, ...]:
    return tuple(row for row in salt_rows() if row.use == "jar_seasoning")


@cache
def _syrups() -> dict[tuple[str, str], SyrupRow]:
    return {(row.syrup, row.load): row for row in syrup_rows()}


def _food(process: Process, *, begins: bool = True) -> str:
    words = f"{produce_in_sentence(process.produce)}, {product_words(process.product)}"
    return words[0].upper() + words[1:] if begins else words
