"""Addresses of told."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
