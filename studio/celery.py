"""The Celery app. Everything about it is set in `studio.settings`."""

from __future__ import annotations

import os

from celery import Celery

from . import broker, running  # noqa: F401  (register themselves)

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")

app = Celery("overmantel")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
