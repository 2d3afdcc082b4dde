"""Addresses of the kitchen, one file a noun. All of them start with the co-op."""

from coop.kitchen.urls import kitchens, loads, plans, shelf, tables, together

app_name = "kitchen"
urlpatterns = [
    *tables.urlpatterns,
    *kitchens.urlpatterns,
    *plans.urlpatterns,
    *together.urlpatterns,
    *loads.urlpatterns,
    *shelf.urlpatterns,
]
