"""What every request passes through: its id and log line, the security headers, its cookies, the limit on its size."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone

from .errors import LengthNeeded, ServiceError, TooLarge
from .logs import id_for, request_id, route_of
from .problems import PROBLEM_JSON, problem
from .reader import zone_for
from .tracing import span

Answer = Callable[[HttpRequest], HttpResponse]

log = logging.getLogger("studio.requests")


class RequestId:
    """Gives each request an id (a proxy's, where it sends a sane one), answers it, and logs one line a request."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        own = id_for(request.headers.get("X-Request-ID", ""))
        token = request_id.set(own)
        started = time.perf_counter()
        try:
            with span("request") as tell:
                response = self.get_response(request)
                response["X-Request-ID"] = own
                facts = {
                    "method": str(request.method),
                    "route": route_of(request),
                    "status": response.status_code,
                    "milliseconds": round((time.perf_counter() - started) * 1000, 1),
                }
                log.info("%(method)s %(route)s %(status)s in %(milliseconds)s ms", facts, extra=facts)
                tell(f"{facts['method']} {facts['route']}", **facts)
            return response
        finally:
            request_id.reset(token)


class ReaderClock:
    """Pages show times by the reader's own clock; programs get them in UTC."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path.startswith("/api/") or not request.user.is_authenticated:
            return self.get_response(request)
        with timezone.override(zone_for(request.user)):
            return self.get_response(request)


class SecurityHeaders:
    """Content-Security-Policy and its company, on every answer."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response
        self.policy = "; ".join(f"{name} {sources}" for name, sources in settings.CONTENT_SECURITY_POLICY.items())

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", self.policy)
        response.headers.setdefault("Permissions-Policy", settings.PERMISSIONS_POLICY)
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        if response.status_code == 503:
            return response  # who asks cannot be read while the database is away
        if getattr(request, "user", None) is not None and request.user.is_authenticated:
            # What a signed-in person saw must not stay in a shared machine's cache.
            response.headers.setdefault("Cache-Control", "private, no-cache")
        return response


class PlainCookies:
    """Leaves out cookies that none of our answers set: with a character that no database keeps."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.COOKIES = {name: value for name, value in request.COOKIES.items() if value.isprintable()}
        return self.get_response(request)


class BodyLimit:
    """Refuses a request whose announced size is beyond what anything here takes, or that announces none, unread."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if "Transfer-Encoding" in request.headers:
            return _refused(LengthNeeded("Say by Content-Length how much is sent."))
        try:
            size = int(request.META.get("CONTENT_LENGTH") or 0)
        except ValueError:
            size = 0
        if size <= settings.MAX_BODY_BYTES:
            return self.get_response(request)
        limit = settings.MAX_BODY_BYTES // (1024 * 1024)
        sent = f"{size / 1024 / 1024:.1f} MB"
        return _refused(TooLarge(f"This sends {sent}; at most {limit} MB are taken. Send it in parts."))


def _refused(error: ServiceError) -> HttpResponse:
    return JsonResponse(problem(error), status=error.status, content_type=PROBLEM_JSON)
