from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "coop.people"
    label = "people"
