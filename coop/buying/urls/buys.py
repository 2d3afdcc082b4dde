"""Addresses of a buy up to the call-in."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
