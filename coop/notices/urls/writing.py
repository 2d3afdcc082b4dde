"""Addresses of writing to those whom something concerns."""

from django.urls import path

from coop.notices.views import writing

urlpatterns = [
    path("notices/write/<str:circle>/<int:circle_id>/", writing.write, name="write"),
    path("notices/write/<str:circle>/<int:circle_id>/look/", writing.look, name="write_look"),
]
