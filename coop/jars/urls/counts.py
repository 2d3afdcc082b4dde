"""Addresses of counts, homes and the table of spare jars."""

from django.urls import path

from coop.jars.views import overview

urlpatterns = [
    path("jars/", overview.jars, name="jars"),
]
