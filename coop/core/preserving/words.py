"""The keys of the tables in words, and from what a farm's line says back to a key."""

import re

from coop.core.figures import plural
from coop.core.tables import (
    drying_rows,
    freezing_rows,
    process_rows,
    yield_rows,
)

PRODUCE_WORDS = {
    "tomato": "Tomatoes",
    "potatoes_white": "White potatoes",
    "pumpkin_winter_squash": "Pumpkin or winter squash",
    "spinach_greens": "Spinach or other greens",
    "grapefruit_orange": "Grapefruit or oranges",
    "fruit_any": "Any fruit",
    "vegetables_any": "Any vegetables",
    "plums_prunes": "Plums for prunes",
    "asian_pears": "Asian pears",
    "brussels_sprouts": "Brussels sprouts",
}

#: Names of places keep their capital.
PLACES = ("Asian", "Brussels")

#: Products whose key alone reads badly.
PRODUCT_WORDS = {
    "sauce_thin": "thin sauce",
    "sauce_thick": "thick sauce",
    "whole_or_halved_in_water": "whole or halved, in water",
    "whole_or_halved_in_juice": "whole or halved, in tomato juice",
    "whole_or_halved_raw_no_liquid": "whole or halved, no liquid added",
    "with_okra_or_zucchini": "with okra or zucchini",
    "whole_cubed_or_sliced": "whole, cubed or sliced",
    "vegetable_bean_meat_or_poultry": "vegetable, bean, meat or poultry",
    "shelled_dried": "dried, without sauce",
    "14_day_sweet_pickles": "14-day sweet pickles",
    "dill_pickles_quick_fresh_pack": "quick fresh-pack dill pickles",
    "dill_pickles_fermented": "fermented dill pickles",
    "mexican_tomato_sauce": "Mexican tomato sauce",
    "salsa_chile": "chile salsa, first recipe",
    "salsa_chile_2": "chile salsa, second recipe",
    "salsa_green_chile": "green chile salsa",
    "salsa_paste_tomatoes": "salsa of paste tomatoes",
    "salsa_slicing_tomatoes": "salsa of slicing tomatoes",
    "salsa_tomato_paste": "salsa with tomato paste",
    "pickled_cauliflower_or_brussels_sprouts": "pickled cauliflower or Brussels sprouts",
    "spiced": "spiced, whole",
    "mixed": "cut and mixed",
}

METHOD_WORDS = {
    "boiling_water": "boiling-water canner",
    "dial_gauge": "pressure canner, dial gauge",
    "weighted_gauge": "pressure canner, weighted gauge",
}

JAR_WORDS = {
    "half_pint": "half-pint",
    "pint": "pint",
    "quart": "quart",
    "half_gallon": "half-gallon",
}

ACID_WORDS = {
    "bottled_lemon_juice": "bottled lemon juice",
    "citric_acid": "citric acid",
    "vinegar_5_percent": "vinegar of 5 percent acid",
    "ascorbic_acid": "ascorbic acid",
}

FORM_WORDS = {
    "cob_small_ears": "on the cob, small ears",
    "cob_medium_ears": "on the cob, medium ears",
    "cob_large_ears": "on the cob, large ears",
    "whole_except_strawberries_cranberries": "whole, no strawberries or cranberries",
    "diced_sliced_or_strips": "diced, sliced or in strips",
}

#: Inches that forms name, as a kitchen ruler shows them.
INCHES = {
    "0.125": "1/8",
    "0.25": "1/4",
    "0.5": "1/2",
    "1.5": "1 1/2",
}

#: Other names that growers use, singular, and the produce of the tables. None: a name that holds
#: one of the others, but is a thing that the tables do not have.
OTHER_NAMES: dict[str, str | None] = {
    "corn": "sweet_corn",
    "potato": "potatoes_white",
    "white potato": "potatoes_white",
    "green bean": "snap_beans",
    "string bean": "snap_beans",
    "wax bean": "snap_beans",
    "italian bean": "snap_beans",
    "butter bean": "lima_beans",
    "dry bean": "dried_beans",
    "pea": "green_peas",
    "garden pea": "green_peas",
    "english pea": "green_peas",
    "field pea": None,
    "snap pea": None,
    "snow pea": None,
    "black eyed pea": None,
    "bell pepper": "peppers",
    "hot pepper": "peppers",
    "jalapeno": "peppers",
    "chile": "peppers",
    "pumpkin": "pumpkin_winter_squash",
    "winter squash": "pumpkin_winter_squash",
    "butternut": "pumpkin_winter_squash",
    "spinach": "spinach_greens",
    "chard": "spinach_greens",
    "kale": "spinach_greens",
    "mustard green": "spinach_greens",
    "collard": "collard_greens",
    "beetroot": "beets",
    "asian pear": "asian_pears",
    "crabapple": "crab_apples",
    "prickly pear": None,
    "custard apple": None,
    "grapefruit": "grapefruit_orange",
    "orange": "grapefruit_orange",
    "muskmelon": "cantaloupe",
    "brussel sprout": "brussels_sprouts",
    "raspberry": "berries",
    "blackberry": "berries",
    "currant": "berries",
    "dewberry": "berries",
    "elderberry": "berries",
    "gooseberry": "berries",
    "huckleberry": "berries",
    "loganberry": "berries",
    "mulberry": "berries",
    "prune": "plums_prunes",
    "prune plum": "plums_prunes",
}

#: Where one of these stands in a line, the thing is made or grown on already.
NOT_PRODUCE = frozenset(
    {
        *("butter", "cider", "flour", "jam", "jelly", "juice", "meal", "pie", "plant", "popcorn"),
        *("preserve", "sauce", "seed", "start", "vinegar"),
    }
)

#: Fruit that the general rows hold for. Figs, Asian pears, melons and tomatoes are left out: the
#: row of purees excludes them (USDA Complete Guide, 2015).
FRUIT = frozenset(
    {
        *("apples", "apricots", "berries", "blueberries", "cherries", "crab_apples", "cranberries"),
        *(
            "grapes",
            "nectarines",
            "peaches",
            "pears",
            "pineapple",
            "plums",
            "rhubarb",
            "strawberries",
        ),
    }
)

#: Keys that are no produce of a farm, or whose own words must not be found in a line.
NOT_NAMES = frozenset({"fruit_any", "vegetables_any", "soup", "succotash", "mixed_vegetables"})


def produce_words(produce: str) -> str:
    """A produce key as a heading says it.

    >>> produce_words("sweet_corn"), produce_words("potatoes_white")
    ('Sweet corn', 'White potatoes')
    """
    return PRODUCE_WORDS.get(produce) or produce.replace("_", " ").capitalize()


def produce_in_sentence(produce: str) -> str:
    """A produce key inside a sentence.

    >>> produce_in_sentence("sweet_corn"), produce_in_sentence("asian_pears")
    ('sweet corn', 'Asian pears')
    """
    words = produce_words(produce)
    return words if words.startswith(PLACES) else words.lower()


def product_words(product: str) -> str:
    """A product key in words, in small letters.

    >>> product_words("whole_kernel"), product_words("sauce_thin")
    ('whole kernel', 'thin sauce')
    """
    return PRODUCT_WORDS.get(product) or product.replace("_", " ")


def pack_words(pack: str) -> str:
    """How the food goes into the jar.

    >>> pack_words("hot")
    'hot pack'
    """
    return f"{pack} pack"


def method_words(method: str) -> str:
    """The canner.

    >>> method_words("dial_gauge")
    'pressure canner, dial gauge'
    """
    return METHOD_WORDS.get(method) or method.replace("_", " ")


def jar_words(jar: str, count: int = 1) -> str:
    """A jar size, as the count wants it (default 1: one jar).

    >>> jar_words("half_pint"), jar_words("quart", 7)
    ('half-pint', 'quarts')
    """
    return plural(count, JAR_WORDS.get(jar) or jar.replace("_", " "))


def acid_words(acid: str) -> str:
    """An acid, as its bottle says it.

    >>> acid_words("vinegar_5_percent")
    'vinegar of 5 percent acid'
    """
    return ACID_WORDS.get(acid) or acid.replace("_", " ")


def syrup_words(syrup: str) -> str:
    """A syrup by its sweetness.

    >>> syrup_words("very_light")
    'very light syrup'
    """
    return f"{syrup.replace('_', ' ')} syrup"


def form_words(form: str) -> str:
    """The form in which a thing is frozen or dried, with inches as a ruler shows them.

    >>> form_words("slices_or_rings_0.125_in"), form_words("cubes_0.25_to_0.5_in")
    ('slices or rings, 1/8 in', 'cubes, 1/4 to 1/2 in')
    """
    if form in FORM_WORDS:
        return FORM_WORDS[form]
    words = re.sub(r"_([0-9.]+(?:_to_[0-9.]+)?)_in$", r", \1 in", form).replace("_", " ")
    return re.sub(r"[0-9]+\.[0-9]+", lambda inches: INCHES.get(inches[0], inches[0]), words)


def produce_named(text: str) -> str | None:
    """The produce key that a farm's line names, singular or plural, whatever words stand around.

    The part before the first comma counts first, and in it the longest name, then the last: a
    cherry tomato is a tomato. A guess for a person to correct, so it knows no spelling mistakes.

    >>> produce_named("Sweet corn, bicolour"), produce_named("Beans, green"), produce_named("Eggs")
    ('sweet_corn', 'snap_beans', None)
    """
    parts = [_singulars(part) for part in re.split(r"[,;:()/]|\s[-\u2013\u2014]\s", text.lower())]
    if any(word in NOT_PRODUCE for part in parts for word in part):
        return None
    turned = [word for part in reversed(parts) for word in part]
    for words in (parts[0], turned, *parts[1:]):
        found = _longest_name(words)
        if found:
            return _names()[found]
    return None


def also_under(produce: str) -> tuple[str, ...]:
    """The wider produce keys whose rows hold for this produce too, the nearest first.

    Rows under a wider key may leave some fruit out: their note says which.

    >>> also_under("blueberries"), also_under("figs")
    (('berries', 'fruit_any'), ())
    """
    wider = ("berries",) if produce == "blueberries" else ()
    return (*wider, "fruit_any") if produce in FRUIT else wider


def _longest_name(words: list[str]) -> str | None:
    names = _names()
    for length in range(len(words), 0, -1):
        for start in range(len(words) - length, -1, -1):
            name = " ".join(words[start : start + length])
            if name in names:
                return name
    return None


def _singulars(part: str) -> list[str]:
    return [_singular(word) for word in re.findall(r"[a-z]+", part)]


def _singular(word: str) -> str:
    if word.endswith("ies"):
        return word[:-3] + "y"
    if word.endswith(("toes", "ches", "shes")):
        return word[:-2]
    if word.endswith("s") and not word.endswith(("ss", "us")):
        return word[:-1]
    return word


def _names() -> dict[str, str | None]:
    keys = {row.produce for row in process_rows()} | {row.produce for row in yield_rows()}
    keys |= {row.produce for row in freezing_rows()} | {row.produce for row in drying_rows()}
    own = {" ".join(_singulars(key)): key for key in sorted(keys - NOT_NAMES)}
    return {**own, **OTHER_NAMES}
