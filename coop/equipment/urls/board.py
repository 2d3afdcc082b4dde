"""The board of all things."""

from django.urls import path

from coop.equipment.views import board as views

urlpatterns = [
    path("equipment/", views.board, name="board"),
]
