"""Addresses of who has been told."""

from django.urls import path

from coop.notices.views import told, writing

urlpatterns = [
    path("notices/told/", told.told, name="told"),
    path("notices/told/<int:writing_id>/", writing.writing, name="writing"),
    path("notices/about/<str:circle>/<int:circle_id>/", told.about, name="about"),
    path("notices/refused/<int:mail_id>/seen/", told.seen, name="seen"),
    path("notices/refused/<int:mail_id>/again/", told.again, name="again"),
]
