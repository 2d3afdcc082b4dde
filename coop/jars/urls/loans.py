"""Addresses of loans."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
