"""Addresses of equipment, one file a noun. All of them start with the co-op."""

from coop.equipment.urls import (
    board,
    bookings,
    finding,
    fitness,
    handovers,
    running,
    things,
)

app_name = "equipment"
urlpatterns = [
    *board.urlpatterns,
    *things.urlpatterns,
    *finding.urlpatterns,
    *bookings.urlpatterns,
    *running.urlpatterns,
    *handovers.urlpatterns,
    *fitness.urlpatterns,
]
