"""Addresses of the costs of a buy."""

from django.urls import path

from coop.buying.views import costs, paying

urlpatterns = [
    path("buys/<int:buy_id>/costs/", costs.all_costs, name="costs"),
    path("buys/<int:buy_id>/costs/produce/", costs.charge_produce, name="charge_produce"),
    path("buys/<int:buy_id>/costs/new/", costs.add_charge, name="add_charge"),
    path("buys/<int:buy_id>/costs/new/preview/", costs.preview_charge, name="preview_charge"),
    path("buys/<int:buy_id>/costs/carry/", costs.carry_unclaimed, name="carry_unclaimed"),
    path("buys/<int:buy_id>/costs/late-change/", paying.late_change_fee, name="late_change_fee"),
    path("buys/<int:buy_id>/costs/no-show/", paying.no_show_fee, name="no_show_fee"),
    path("buys/<int:buy_id>/costs/credit/", paying.credit, name="credit"),
    path("buys/<int:buy_id>/costs/farms/<int:farm_id>/pay/", paying.pay_farm, name="pay_farm"),
    path(
        "buys/<int:buy_id>/costs/farms/<int:farm_id>/back/", paying.farm_refund, name="farm_refund"
    ),
    path("buys/<int:buy_id>/prepay/<int:household_id>/", paying.prepay, name="prepay"),
    path("buys/<int:buy_id>/cash/<int:household_id>/", paying.cash, name="cash"),
]
