"""Addresses of farms and their offers."""

from django.urls import path

from coop.buying.views import farms

urlpatterns = [
    path("farms/", farms.farms, name="farms"),
    path("farms/new/", farms.new_farm, name="new_farm"),
    path("farms/<int:farm_id>/", farms.farm, name="farm"),
    path("farms/<int:farm_id>/edit/", farms.edit_farm, name="edit_farm"),
    path("farms/<int:farm_id>/retire/", farms.retire_farm, name="retire_farm"),
    path("farms/<int:farm_id>/restore/", farms.restore_farm, name="restore_farm"),
    path("farms/<int:farm_id>/offers/new/", farms.new_offer, name="new_offer"),
    path("farms/<int:farm_id>/offers/<int:offer_id>/edit/", farms.edit_offer, name="edit_offer"),
    path(
        "farms/<int:farm_id>/offers/<int:offer_id>/retire/",
        farms.retire_offer,
        name="retire_offer",
    ),
]
