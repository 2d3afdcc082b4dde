"""Addresses of a buy up to the call-in."""

from django.urls import path

from coop.buying.views import asks, buys, call_in, lines, releases

urlpatterns = [
    path("buys/", buys.buys, name="buys"),
    path("buys/new/", buys.new_buy, name="new_buy"),
    path("buys/<int:buy_id>/", buys.buy, name="buy"),
    path("buys/<int:buy_id>/edit/", buys.edit_buy, name="edit_buy"),
    path("buys/<int:buy_id>/standing/", buys.standing, name="standing"),
    path("buys/<int:buy_id>/close/", buys.close_asks, name="close_asks"),
    path("buys/<int:buy_id>/reopen/", buys.reopen_asks, name="reopen_asks"),
    path("buys/<int:buy_id>/lines/new/", lines.add_line, name="add_line"),
    path("buys/<int:buy_id>/lines/<int:line_id>/remove/", lines.remove_line, name="remove_line"),
    path("buys/<int:buy_id>/lines/<int:line_id>/ask/", asks.ask, name="ask"),
    path("buys/<int:buy_id>/lines/<int:line_id>/ask/give-up/", asks.give_up, name="give_up_ask"),
    path("buys/<int:buy_id>/asks/<int:ask_id>/release/", releases.release, name="release"),
    path(
        "buys/<int:buy_id>/releases/<int:release_id>/withdraw/",
        releases.withdraw,
        name="withdraw_release",
    ),
    path("buys/<int:buy_id>/releases/<int:release_id>/take/", releases.take, name="take_release"),
    path("buys/<int:buy_id>/lots/", call_in.lots, name="lots"),
    path("buys/<int:buy_id>/call-in/", call_in.call_in, name="call_in"),
    path("buys/<int:buy_id>/call-in/sheet/", call_in.call_in_sheet, name="call_in_sheet"),
    path("buys/<int:buy_id>/step-back/", call_in.step_back, name="step_back"),
    path("buys/<int:buy_id>/call-off/", call_in.call_off, name="call_off"),
]
