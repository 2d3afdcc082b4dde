"""Addresses of the calendar, and of what makes its private address."""

from django.urls import path

from coop.notices.views import calendar as views

urlpatterns = [
    path("notices/calendar/", views.calendar, name="calendar"),
    path("notices/calendar/renew/", views.renew, name="renew_feed"),
    path("notices/calendar/end/", views.end, name="end_feed"),
]
