"""Django's entry for the private side."""

from django.apps import AppConfig


class SurveysConfig(AppConfig):
    """Hold every private table under one label and one chain of migrations."""

    name = "surveys"
    default_auto_field = "django.db.models.BigAutoField"
