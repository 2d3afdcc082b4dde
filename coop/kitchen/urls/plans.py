"""Addresses of plans, uses and what was put up."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
