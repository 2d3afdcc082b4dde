"""Addresses of bookings."""

from django.urls import path

from coop.equipment.views import booking_ics
from coop.equipment.views import bookings as views

urlpatterns = [
    path("equipment/book/", views.book, name="book"),
    path("equipment/bookings/", views.bookings, name="bookings"),
    path("equipment/bookings/<int:booking_id>/", views.booking, name="booking"),
    path(
        "equipment/bookings/<int:booking_id>/booking.ics",
        booking_ics.booking_file,
        name="booking_file",
    ),
    path("equipment/bookings/<int:booking_id>/move/", views.move, name="move"),
    path("equipment/bookings/<int:booking_id>/end/", views.end_now, name="end_now"),
    path("equipment/bookings/<int:booking_id>/cancel/", views.cancel, name="cancel"),
]
