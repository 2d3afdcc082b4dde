"""Addresses of the published tables, and of reckoning from jars back to pounds."""

from django.urls import path

from coop.kitchen.views import reckon, tables

urlpatterns = [
    path("tables/", tables.tables, name="tables"),
    path("tables/find/", tables.find, name="find"),
    path("tables/<slug:name>/", tables.table, name="table"),
    path("reckon/", reckon.reckon, name="reckon"),
]
