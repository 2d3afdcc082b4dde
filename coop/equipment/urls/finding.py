"""Addresses of finding a time, and of places in line."""

from django.urls import path

from coop.equipment.views import finding as views

urlpatterns = [
    path("equipment/find/", views.find, name="find"),
    path("equipment/standby/", views.standbys, name="standbys"),
    path("equipment/standby/new/", views.stand_by, name="stand_by"),
    path("equipment/standby/<int:standby_id>/end/", views.end_standby, name="end_standby"),
    path("equipment/bookings/<int:booking_id>/take/", views.take, name="take"),
    path("equipment/bookings/<int:booking_id>/pass/", views.pass_on, name="pass_on"),
]
