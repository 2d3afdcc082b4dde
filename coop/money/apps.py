from django.apps import AppConfig


class MoneyConfig(AppConfig):
    name = "coop.money"
    label = "money"
