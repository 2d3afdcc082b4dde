"""Addresses of handovers."""

from django.urls import path

from coop.equipment.views import deposits
from coop.equipment.views import handovers as views

urlpatterns = [
    path("equipment/things/<int:thing_id>/handover/", views.handover, name="handover"),
    path("equipment/things/<int:thing_id>/take/", views.take_now, name="take_now"),
    path("equipment/bookings/<int:booking_id>/out/", views.hand_out, name="hand_out"),
    path("equipment/bookings/<int:booking_id>/back/", views.hand_back, name="hand_back"),
    path("equipment/bookings/<int:booking_id>/deposit/", deposits.deposit, name="deposit"),
]
