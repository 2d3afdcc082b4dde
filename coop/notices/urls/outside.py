"""Addresses that letters and calendar programs call, whom nobody has signed in."""

from django.urls import path

from coop.notices.views import feed, stop

app_name = "outside"
urlpatterns = [
    path("feeds/<str:secret>.ics", feed.feed, name="feed"),
    path("stop-mail/<str:token>/", stop.stop, name="stop_mail"),
    path("stop-mail/<str:token>/again/", stop.again, name="mail_again"),
]
