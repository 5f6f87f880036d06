"""Is the process alive, is it ready for traffic, and how is it doing."""

from __future__ import annotations

import logging
import secrets
from collections.abc import Callable

from django.conf import settings
from django.core.cache import cache
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_safe
from django_prometheus.exports import ExportToDjangoView

from .celery import app as celery_app
from .metrics import site_metrics

log = logging.getLogger(__name__)


@require_safe
def live(request: HttpRequest) -> HttpResponse:
    """200 while the process answers at all; a platform restarts it otherwise."""
    return JsonResponse({"alive": True})


@require_safe
def ready(request: HttpRequest) -> HttpResponse:
    """200 while the database answers and is migrated; a balancer waits otherwise.

    The cache and the broker are named, too, but reading goes on without them.
    """
    parts = {"database": _database, "migrations": _migrations, "cache": _cache, "broker": _broker}
    found = {name: _holds(name, part) for name, part in parts.items()}
    return JsonResponse(found, status=200 if found["database"] and found["migrations"] else 503)


def _holds(name: str, part: Callable[[], bool]) -> bool:
    try:
        return part()
    except Exception:
        log.warning("not ready: %s", name, exc_info=True)
        return False


def _database() -> bool:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        return bool(cursor.fetchone() == (1,))


def _migrations() -> bool:
    executor = MigrationExecutor(connection)
    return not executor.migration_plan(executor.loader.graph.leaf_nodes())


def _cache() -> bool:
    mark = secrets.token_hex(4)
    cache.set("health", mark, 10)
    return cache.get("health") is not None


def _broker() -> bool:
    with celery_app.connection_for_write(connect_timeout=2) as broker:
        broker.ensure_connection(max_retries=1, timeout=2)
        return True


@require_safe
def metrics(request: HttpRequest) -> HttpResponse:
    """Prometheus metrics, for a scraper that shows the token; for everybody else there is nothing here."""
    shown = request.headers.get("Authorization", "").removeprefix("Bearer ")
    if not settings.METRICS_TOKEN or not secrets.compare_digest(shown.encode(), settings.METRICS_TOKEN.encode()):
        raise Http404
    answer: HttpResponse = ExportToDjangoView(request)
    answer.content += site_metrics()
    return answer
