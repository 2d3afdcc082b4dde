"""Addresses of plans, uses and what was put up."""

from django.urls import path

from coop.kitchen.views import outcomes, plans, uses

urlpatterns = [
    path("plans/", plans.plans, name="plans"),
    path("plans/new/", plans.new_plan, name="new_plan"),
    path("plans/<int:plan_id>/", plans.plan, name="plan"),
    path("plans/<int:plan_id>/edit/", plans.edit_plan, name="edit_plan"),
    path("plans/<int:plan_id>/drop/", plans.drop_plan, name="drop_plan"),
    path("plans/<int:plan_id>/card/", plans.card, name="card"),
    path("plans/<int:plan_id>/uses/", uses.ways, name="ways"),
    path("plans/<int:plan_id>/uses/add/", uses.add_use, name="add_use"),
    path("uses/<int:use_id>/edit/", uses.edit_use, name="edit_use"),
    path("uses/<int:use_id>/remove/", uses.remove_use, name="remove_use"),
    path("uses/<int:use_id>/outcome/", outcomes.outcome, name="outcome"),
    path("yields/", plans.yields, name="yields"),
]
