from django.apps import AppConfig


class JarsConfig(AppConfig):
    name = "coop.jars"
    label = "jars"
