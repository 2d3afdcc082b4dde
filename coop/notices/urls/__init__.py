"""Addresses of notices, one file a noun. All of them start with the co-op."""

from coop.notices.urls import calendar, choices, inbox, told, writing

app_name = "notices"
urlpatterns = [
    *inbox.urlpatterns,
    *choices.urlpatterns,
    *calendar.urlpatterns,
    *told.urlpatterns,
    *writing.urlpatterns,
]
