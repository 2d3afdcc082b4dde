"""Addresses of what a member chooses."""

from django.urls import path

from coop.notices.views import choices as views

urlpatterns = [path("notices/choices/", views.choices, name="choices")]
