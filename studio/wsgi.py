"""The web process's entry point."""

import os

from django.core.wsgi import get_wsgi_application

from . import tracing

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")

application = get_wsgi_application()
tracing.start()
