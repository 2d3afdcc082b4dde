"""Addresses that letters and calendar programs call, whom nobody has signed in."""

from django.urls import URLPattern

app_name = "outside"
urlpatterns: list[URLPattern] = []
