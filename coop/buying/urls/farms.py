"""Addresses of farms and their offers."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
