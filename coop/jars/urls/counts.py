"""Addresses of counts, homes and the table of spare jars."""

from django.urls import path

from coop.jars.views import counts, homes, overview, spare

urlpatterns = [
    path("jars/", overview.jars, name="jars"),
    path("jars/count/", counts.count, name="count"),
    path("jars/count/paste/", counts.paste, name="paste"),
    path("jars/counts/<int:household_id>/", counts.counts, name="counts"),
    path("jars/home/", homes.home, name="home"),
    path("jars/home/forget/", homes.forget_home, name="forget_home"),
    path("jars/spare/", spare.spare, name="spare"),
]
