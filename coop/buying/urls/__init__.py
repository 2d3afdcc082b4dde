"""Addresses of buying, one file a noun. All of them start with the co-op."""

from coop.buying.urls import buys, costs, farms, shares, tallies

app_name = "buying"
urlpatterns = [
    *farms.urlpatterns,
    *buys.urlpatterns,
    *tallies.urlpatterns,
    *shares.urlpatterns,
    *costs.urlpatterns,
]
