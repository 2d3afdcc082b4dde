"""Addresses of kitchens."""

from django.urls import path

from coop.kitchen.views import kitchens

urlpatterns = [
    path("kitchens/", kitchens.kitchens, name="kitchens"),
    path("kitchens/add/", kitchens.add_kitchen, name="add_kitchen"),
    path("kitchens/<int:kitchen_id>/", kitchens.edit_kitchen, name="edit_kitchen"),
    path("kitchens/<int:kitchen_id>/retire/", kitchens.retire_kitchen, name="retire_kitchen"),
]
