"""The rows as a Django application."""

from django.apps import AppConfig


class StorageConfig(AppConfig):
    """Rows of gyms, people, episodes, sessions and decisions."""

    name = "floorward.storage"
    label = "storage"
    default_auto_field = "django.db.models.BigAutoField"
