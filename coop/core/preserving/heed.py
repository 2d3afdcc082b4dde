"""Which of the published cautions matter for one process: a short list, not all of them."""

from functools import cache

from coop.core.preserving.additions import acid_kind
from coop.core.preserving.process import Process
from coop.core.tables import canner_rows, caution, process_rows

#: The altitude above which minutes or pressures change (altitude table, first bands).
FIRST_BAND_FT = 1000
#: Boiled less than this, jars must be sterile first (caution boiling_water_3).
STERILE_UNDER_MINUTES = 10

#: Cautions of one kind of produce.
OF_PRODUCE = {
    "pumpkin_winter_squash": ("low_acid_4",),
    "sweet_potatoes": ("low_acid_4",),
    "soup": ("low_acid_5", "low_acid_6"),
    "mushrooms": ("low_acid_7",),
    "peppers": ("skin_1",),
}
FERMENTED = frozenset({"sauerkraut", "dill_pickles_fermented"})


def cautions_for(process: Process, jars_per_load: int) -> tuple[str, ...]:
    """The sentences that matter for this process, the food first, then the canner and the jars.

    Parameters:
        process: the process.
        jars_per_load: jars that go into the canner at once; many stand in two layers.
    """
    ids = [
        *_of_food(process),
        *_of_recipe(process),
        *(_of_boiling(process) if process.psi is None else _of_pressure(process, jars_per_load)),
        *_of_choice(process),
        "seals_1",
    ]
    return tuple(caution(each).gist for each in dict.fromkeys(ids))


def _of_food(process: Process) -> list[str]:
    ids = ["low_acid_1"] if (process.produce, process.product) not in _in_boiling_water() else []
    ids += OF_PRODUCE.get(process.produce, ())
    if acid_kind(process) == "jar":
        ids += ["acid_2" if process.produce == "asian_pears" else "acid_1", "acid_3"]
    if process.produce == "tomato":
        ids.append("acid_6")
    return ids


def _of_recipe(process: Process) -> list[str]:
    ids = ["acid_4"] if acid_kind(process) == "recipe" or "tested recipe" in process.note else []
    if "salsa" in process.product:
        ids.append("acid_5")
    if process.product in FERMENTED:
        ids.append("acid_7")
    if "lime" in process.note and "lime juice" not in process.note:
        ids.append("acid_8")
    return ids


def _of_pressure(process: Process, jars_per_load: int) -> list[str]:
    ids = ["pressure_canner_1", "pressure_canner_2", "pressure_canner_4"]
    if jars_per_load > _most_in_one_layer().get(process.jar, jars_per_load):
        ids.append("pressure_canner_6")
    if process.method == "dial_gauge":
        ids.append("dial_gauge_1")
    elif process.altitude_low_ft > FIRST_BAND_FT:
        ids.append("dial_gauge_2")
    return [*ids, "burns_1"]


def _of_boiling(process: Process) -> list[str]:
    ids = ["boiling_water_1", "boiling_water_2"]
    if process.minutes < STERILE_UNDER_MINUTES:
        ids.append("boiling_water_3")
    return [*ids, "burns_3"]


def _of_choice(process: Process) -> list[str]:
    ids = ["altitude_1"] if process.altitude_low_ft > FIRST_BAND_FT else []
    if process.option != 1 or (process.produce, process.product, process.method) in _with_options():
        ids.append("methods_2")
    if process.jar == "half_gallon":
        ids.append("jars_1")
    return ids


@cache
def _in_boiling_water() -> frozenset[tuple[str, str]]:
    """What is published for boiling water at all; the rest is low in acid."""
    return frozenset(
        (row.produce, row.product) for row in process_rows() if row.method == "boiling_water"
    )


@cache
def _with_options() -> frozenset[tuple[str, str, str]]:
    return frozenset(
        (row.produce, row.product, row.method) for row in process_rows() if row.option > 1
    )


@cache
def _most_in_one_layer() -> dict[str, int]:
    most: dict[str, int] = {}
    for row in canner_rows():
        if row.canner_type == "pressure" and row.layers == 1:
            most[row.jar] = max(most.get(row.jar, 0), row.jars_high)
    return most
