"""Django's entry for the public side."""

from django.apps import AppConfig


class PortalConfig(AppConfig):
    """Hold every public table under one label and one chain of migrations."""

    name = "portal"
    default_auto_field = "django.db.models.BigAutoField"
