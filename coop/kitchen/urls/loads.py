"""Addresses of loads and lots."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
