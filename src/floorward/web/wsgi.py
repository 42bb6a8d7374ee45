"""The door for a web server."""

import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

from floorward.storage import holding

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "floorward.config")
holding.hold(settings.DATA)  # no backup is restored under a running server
application = get_wsgi_application()
