"""Django's entry for the private side."""

from importlib import import_module

from django.apps import AppConfig
from django.core.checks import register


class SurveysConfig(AppConfig):
    """Hold every private table under one label and one chain of migrations."""

    name = "surveys"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Connect what can only be imported once the models are there."""
        import_module("surveys.photos.receivers")
        register(import_module("surveys.photos.storage").check_folders)
