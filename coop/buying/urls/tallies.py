"""Addresses of the tally."""

from django.urls import path

from coop.buying.views import tallies

urlpatterns = [
    path("buys/<int:buy_id>/tally/", tallies.tally, name="tally"),
    path("buys/<int:buy_id>/tally/sheet/", tallies.tally_sheet, name="tally_sheet"),
    path("buys/<int:buy_id>/tally/finish/", tallies.finish_tally, name="finish_tally"),
    path("buys/<int:buy_id>/tally/<int:supply_id>/", tallies.tally_supply, name="tally_supply"),
]
