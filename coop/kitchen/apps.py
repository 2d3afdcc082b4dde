from django.apps import AppConfig


class KitchenConfig(AppConfig):
    name = "coop.kitchen"
    label = "kitchen"
