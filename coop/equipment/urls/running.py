"""Addresses of what ends by itself."""

from django.urls import path

from coop.equipment.views import running as views

urlpatterns = [
    path("equipment/bookings/<int:booking_id>/run/", views.run, name="run"),
    path("equipment/bookings/<int:booking_id>/shift/", views.answer_shift, name="answer_shift"),
]
