"""Addresses of the notices on the site."""

from django.urls import path

from coop.notices.views import inbox as views

urlpatterns = [
    path("notices/", views.inbox, name="inbox"),
    path("notices/read/", views.read_all, name="read_all"),
    path("notices/<int:notice_id>/open/", views.open_notice, name="open"),
]
