"""Addresses of the published tables, and of reckoning from jars back to pounds."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
