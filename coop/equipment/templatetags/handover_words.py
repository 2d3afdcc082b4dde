"""`{% load handover_words %}`: handovers in words. What they say is in coop/equipment/queries."""

from django import template

from coop.equipment.queries import handovers

register = template.Library()

#: `{% if move|came_late:booking %}`
register.filter("came_late", handovers.came_late)
