"""The rows as a Django application."""

from typing import Any

from django.apps import AppConfig
from django.db import connections
from django.db.models.signals import pre_migrate

from floorward.storage.engines import schema_of


class StorageConfig(AppConfig):
    """Rows of gyms, people, episodes, sessions and decisions."""

    name = "floorward.storage"
    label = "storage"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Before a place on PostgreSQL is first filled, its schema is made."""
        pre_migrate.connect(make_schema, sender=self)


def make_schema(using: str, **_: Any) -> None:
    """The schema that the tables of the place `using` go into; nothing on SQLite."""
    connection = connections[using]
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f"CREATE SCHEMA IF NOT EXISTS {schema_of(connection.settings_dict)}")
