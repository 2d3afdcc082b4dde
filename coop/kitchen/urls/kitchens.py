"""Addresses of kitchens."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
