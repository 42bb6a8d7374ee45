"""The door for a web server."""

import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

from floorward.storage import engines, holding

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "floorward.config")
holding.hold(settings.DATA)  # no backup is restored under a running server
engines.name_connections(settings.DATABASES)
application = get_wsgi_application()
