"""Addresses of loads and lots."""

from django.urls import path

from coop.kitchen.views import loads, lots, told_anew

urlpatterns = [
    path("loads/", loads.loads, name="loads"),
    path("loads/new/", loads.new_load, name="new_load"),
    path("loads/<int:load_id>/", loads.load, name="load"),
    path("loads/<int:load_id>/edit/", loads.edit_load, name="edit_load"),
    path("loads/<int:load_id>/lots/add/", loads.add_lot, name="add_lot"),
    path("loads/<int:load_id>/suspect/", loads.suspect, name="suspect"),
    path("lots/new/", lots.new_lot, name="new_lot"),
    path("lots/find/", lots.find_lot, name="find_lot"),
    path("lots/<int:lot_id>/", lots.lot, name="lot"),
    path("lots/<int:lot_id>/jars-in/", told_anew.jars_in, name="jars_in"),
    path("lots/<int:lot_id>/origin/", told_anew.origin, name="origin"),
    path("lots/<int:lot_id>/count-out/", lots.count_out, name="count_out"),
    path("lots/<int:lot_id>/seals/", lots.seals, name="seals"),
    path("lots/<int:lot_id>/unsealed/", lots.unsealed, name="unsealed"),
    path("l/<str:code>/", lots.lot_by_code, name="lot_by_code"),
]
