"""Addresses of what households can share: loads and jars."""

from django.urls import path

from coop.kitchen.views import matched, together

urlpatterns = [
    path("plans/together/", together.together, name="together"),
    path("plans/jars/", matched.match, name="match"),
    path("buys/<int:buy_id>/loads/", together.buy_loads, name="buy_loads"),
    path("buys/<int:buy_id>/jars/", matched.buy_jars, name="buy_jars"),
]
