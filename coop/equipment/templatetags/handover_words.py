"""`{% load handover_words %}`: handovers in words. What they say is in coop/equipment/queries."""

from django import template

from coop.equipment import words
from coop.equipment.models import Part
from coop.equipment.queries import handovers

register = template.Library()

#: `{% if move|came_late:booking %}`
register.filter("came_late", handovers.came_late)
#: `{{ move.by|by_whom }}`
register.filter("by_whom", words.by_whom)


@register.filter
def part_words(part: Part) -> str:
    """`{{ part|part_words }}`: 9 trays."""
    return words.part_said(part.count, part.name)
