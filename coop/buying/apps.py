from django.apps import AppConfig


class BuyingConfig(AppConfig):
    name = "coop.buying"
    label = "buying"
