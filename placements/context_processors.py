"""What the frame of every page needs, asked for only when a template prints it."""

from __future__ import annotations

from functools import cache, partial
from typing import Any, cast

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from placements.selectors.inbox import unread_count
from placements.selectors.queue import queue_count
from studio import access
from studio.access import SignedRequest
from studio.errors import Missing
from studio.models import Studio
from studio.reader import units_for


def masthead(request: HttpRequest) -> dict[str, Any]:
    """The acting studio, the reader's units, how much waits for review and in the inbox."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {}
    studio = cache(partial(_studio, cast(SignedRequest, request)))
    return {
        "studio": SimpleLazyObject(studio),
        "units": SimpleLazyObject(lambda: units_for(user, studio())),
        "review_count": SimpleLazyObject(lambda: queue_count(user)),
        "unread_count": SimpleLazyObject(lambda: unread_count(user)),
    }


def _studio(request: SignedRequest) -> Studio | None:
    try:
        return access.acting_studio(request)
    except Missing:
        return None
