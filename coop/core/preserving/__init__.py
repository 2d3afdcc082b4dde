"""Preserving, only as published: processes, batches, freezing, drying and what goes into jars."""

from coop.core.preserving.process import (
    NoTestedProcess,
    Process,
    find_process,
    processes_at,
)
from coop.core.preserving.words import (
    acid_words,
    form_words,
    jar_words,
    method_words,
    pack_words,
    produce_named,
    produce_words,
    product_words,
    syrup_words,
)

__all__ = [
    "NoTestedProcess",
    "Process",
    "acid_words",
    "find_process",
    "form_words",
    "jar_words",
    "method_words",
    "pack_words",
    "processes_at",
    "produce_named",
    "produce_words",
    "product_words",
    "syrup_words",
]
