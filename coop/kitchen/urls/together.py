"""Addresses of what households can share: loads and jars."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
