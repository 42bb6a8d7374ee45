"""The pages as a Django application."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Views, forms and templates."""

    name = "floorward.web"
    label = "web"
