"""`{% load preserving %}`: the keys of the published tables in words, and exact figures."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from django import template

from coop.core.figures import mixed_number
from coop.core.preserving import words
from coop.core.tables import spelled_out

register = template.Library()

register.filter("produce_words", words.produce_words)
register.filter("product_words", words.product_words)
register.filter("pack_words", words.pack_words)
register.filter("method_words", words.method_words)
register.filter("acid_words", words.acid_words)
register.filter("syrup_words", words.syrup_words)
register.filter("form_words", words.form_words)


@register.filter
def jar_words(jar: str, count: int = 1) -> str:
    """`{{ process.jar|jar_words:7 }}`: quarts; without a count, quart."""
    return words.jar_words(jar, count)


@register.filter
def mixed(value: Fraction | int) -> str:
    """`{{ process.headspace_in|mixed }}`: 1 1/2."""
    return mixed_number(Fraction(value))


@register.filter
def sources(keys: Iterable[str]) -> str:
    """`{{ process.source|sources }}`: the sources spelled out; their titles have commas."""
    return "; ".join(spelled_out(key) for key in keys)
