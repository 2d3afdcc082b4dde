"""Addresses of jars, one file a noun. All of them start with the co-op."""

from coop.jars.urls import counts, loans

app_name = "jars"
urlpatterns = [*counts.urlpatterns, *loans.urlpatterns]
