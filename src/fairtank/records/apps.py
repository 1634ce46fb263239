"""The room of records as a Django application."""

from django.apps import AppConfig


class RecordsConfig(AppConfig):
    """Rows of all trials."""

    name = "fairtank.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"
