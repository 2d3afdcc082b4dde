"""Addresses of the division, the pickup and the spare table."""

from django.urls import path

from coop.buying.views import division, pickup, spare

urlpatterns = [
    path("buys/<int:buy_id>/divide/", division.divide, name="divide"),
    path("buys/<int:buy_id>/divide/<int:line_id>/", division.divide_line, name="divide"),
    path(
        "buys/<int:buy_id>/divide/<int:line_id>/publish/",
        division.publish_division,
        name="publish_division",
    ),
    path(
        "buys/<int:buy_id>/divide/<int:line_id>/withdraw/",
        division.withdraw_division,
        name="withdraw_division",
    ),
    path("buys/<int:buy_id>/asks/<int:ask_id>/ease/", division.ease_ask, name="ease_ask"),
    path("buys/<int:buy_id>/pickup/", pickup.pickup, name="pickup"),
    path("buys/<int:buy_id>/pickup/sheet/", pickup.pickup_sheet, name="pickup_sheet"),
    path("buys/<int:buy_id>/pickup/release/", pickup.release_unfetched, name="release_unfetched"),
    path(
        "buys/<int:buy_id>/pickup/<int:household_id>/fetched/",
        pickup.tick_household,
        name="tick_household",
    ),
    path("shares/<int:share_id>/tick/", pickup.tick_share, name="tick_share"),
    path("shares/<int:share_id>/untick/", pickup.untick_share, name="untick_share"),
    path("claims/<int:claim_id>/tick/", pickup.tick_claim, name="tick_claim"),
    path("claims/<int:claim_id>/untick/", pickup.untick_claim, name="untick_claim"),
    path("spare/", spare.spare, name="spare"),
    path("buys/<int:buy_id>/spare/", spare.spare, name="spare"),
    path("spare/<int:spare_id>/claim/", spare.claim_spare, name="claim_spare"),
]
