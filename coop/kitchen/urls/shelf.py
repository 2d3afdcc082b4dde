"""Addresses of labels, the pantry, tracing and warnings."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
