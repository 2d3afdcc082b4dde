"""Addresses of fitness for use, and of what a household was told."""

from django.urls import path

from coop.equipment.views import cares
from coop.equipment.views import fitness as views

urlpatterns = [
    path("equipment/fit/", views.fit, name="fit"),
    path("equipment/things/<int:thing_id>/gauge/", views.test_gauge, name="test_gauge"),
    path("equipment/gauge-tests/<int:test_id>/strike/", views.strike_test, name="strike_test"),
    path("equipment/things/<int:thing_id>/care/", cares.cares, name="cares"),
    path("equipment/care/<int:care_id>/done/", cares.care_done, name="care_done"),
    path("equipment/care/<int:care_id>/drop/", cares.drop_care, name="drop_care"),
    path("equipment/things/<int:thing_id>/faults/new/", views.report_fault, name="report_fault"),
    path("equipment/faults/<int:fault_id>/mend/", views.mend_fault, name="mend_fault"),
    path("equipment/told/<int:told_id>/read/", views.read_told, name="read_told"),
]
