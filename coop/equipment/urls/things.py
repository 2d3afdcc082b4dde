"""Addresses of things."""

from django.urls import path

from coop.equipment.views import keeping, photos
from coop.equipment.views import things as views

urlpatterns = [
    path("equipment/things/", views.things, name="things"),
    path("equipment/things/new/", views.new_thing, name="new_thing"),
    path("equipment/things/<int:thing_id>/", views.thing, name="thing"),
    path("equipment/things/<int:thing_id>/edit/", views.edit_thing, name="edit_thing"),
    path("equipment/things/<int:thing_id>/retire/", views.retire, name="retire"),
    path("equipment/things/<int:thing_id>/bring-back/", views.bring_back, name="bring_back"),
    path("equipment/things/<int:thing_id>/hours/", keeping.hours, name="hours"),
    path("equipment/things/<int:thing_id>/parts/", keeping.parts, name="parts"),
    path("equipment/things/<int:thing_id>/sheet/", keeping.sheet, name="sheet"),
    path("equipment/things/<int:thing_id>/photos/add/", photos.add_photo, name="add_photo"),
    path("equipment/photos/<int:photo_id>/", photos.photo, name="photo"),
    path("equipment/photos/<int:photo_id>/drop/", photos.drop_photo, name="drop_photo"),
]
