"""Addresses of people: the site's own first words, and the pages of a co-op's households."""

from django.urls import path

from coop.people.views import coops, home, households, invitations, join, members

app_name = "people"
urlpatterns = [
    path("", home.home, name="home"),
    path("start/", home.start, name="start"),
    path("me/", home.me, name="me"),
    path("join/<str:token>/", join.join, name="join"),
    path("join/<str:token>/accept/", join.accept, name="accept"),
    path("join/<str:token>/sign-up/", join.sign_up, name="sign_up"),
    path("<slug:coop>/", coops.this_week, name="week"),
    path("<slug:coop>/settings/", coops.settings, name="settings"),
    path("<slug:coop>/households/", households.households, name="households"),
    path("<slug:coop>/households/<int:household_id>/", households.household, name="household"),
    path("<slug:coop>/households/<int:household_id>/edit/", households.edit, name="edit_household"),
    path("<slug:coop>/households/<int:household_id>/end/", households.end, name="end_household"),
    path("<slug:coop>/members/<int:member_id>/roles/", members.roles, name="roles"),
    path("<slug:coop>/members/<int:member_id>/leave/", members.leave, name="leave"),
    path("<slug:coop>/invitations/new/", invitations.new_invitation, name="invite"),
    path(
        "<slug:coop>/invitations/<int:invitation_id>/withdraw/",
        invitations.withdraw,
        name="withdraw_invitation",
    ),
    path(
        "<slug:coop>/invitations/<int:invitation_id>/resend/",
        invitations.resend,
        name="resend_invitation",
    ),
]
