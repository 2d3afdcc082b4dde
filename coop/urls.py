"""The root of every address. A co-op's pages start with its name: `/<co-op>/buys/12/`."""

from django.urls import include, path

urlpatterns = [
    path("account/", include("allauth.account.urls")),
    path("", include("coop.web.urls")),
    path("", include("coop.notices.urls.outside")),
    path("", include("coop.people.urls")),
    path("<slug:coop>/", include("coop.notices.urls")),
    path("<slug:coop>/", include("coop.buying.urls")),
    path("<slug:coop>/", include("coop.money.urls")),
    path("<slug:coop>/", include("coop.equipment.urls")),
    path("<slug:coop>/", include("coop.jars.urls")),
    path("<slug:coop>/", include("coop.kitchen.urls")),
]
