"""Addresses of labels, the pantry, tracing and warnings."""

from django.urls import path

from coop.kitchen.views import labels, shelf, trace, warnings

urlpatterns = [
    path("lots/labels/", labels.labels, name="labels"),
    path("pantry/", shelf.pantry, name="pantry"),
    path("lots/<int:lot_id>/take/", shelf.take, name="take"),
    path("taken/<int:taken_id>/undo/", shelf.untake, name="untake"),
    path("trace/", trace.trace, name="trace"),
    path("lots/<int:lot_id>/trace/", trace.trace_lot, name="trace_lot"),
    path("trace/delivery/<int:supply_id>/", trace.trace_supply, name="trace_supply"),
    path("lots/<int:lot_id>/warn/", warnings.warn_lot, name="warn_lot"),
    path("loads/<int:load_id>/warn/", warnings.warn_load, name="warn_load"),
    path("trace/delivery/<int:supply_id>/warn/", warnings.warn_supply, name="warn_supply"),
    path("warnings/<int:warning_id>/", warnings.warning, name="warning"),
    path("warnings/<int:warning_id>/read/", warnings.read_warning, name="read_warning"),
]
