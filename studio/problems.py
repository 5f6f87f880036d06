"""Turns service errors into answers: `application/problem+json` (RFC 9457) for programs, a page for people."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import InterfaceError, OperationalError
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.views import defaults
from rest_framework import exceptions as drf
from rest_framework.response import Response
from rest_framework.views import exception_handler as drf_exception_handler

from .access import PageRequest
from .errors import Broken, Missing, ServiceError, StoreAway, Unavailable

PROBLEM_JSON = "application/problem+json"
#: After how long a caller may ask again while the database does not answer [s].
RETRY_AFTER_S = 10


def problem(error: ServiceError) -> dict[str, Any]:
    """The members of one problem document."""
    body: dict[str, Any] = {
        "type": "about:blank",
        "title": error.title,
        "status": error.status,
        "code": error.code,
        "detail": error.detail,
    }
    if error.faults:
        body["faults"] = error.faults
    return body | error.extra


def _faults(detail: Any, where: str = "") -> list[dict[str, str]]:
    """Flattens the framework's nested validation errors into where/detail pairs."""
    if isinstance(detail, dict):
        return [
            fault
            for key, value in detail.items()
            for fault in _faults(value, where if key == "non_field_errors" else f"{where}.{key}" if where else str(key))
        ]
    if isinstance(detail, list | tuple):
        if all(not isinstance(one, dict | list | tuple) for one in detail):
            return [{"where": where, "detail": str(one)} for one in detail]
        return [fault for index, one in enumerate(detail) for fault in _faults(one, f"{where}[{index}]")]
    return [{"where": where, "detail": str(detail)}]


def api_exception_handler(exc: Exception, context: dict[str, Any]) -> Response | None:
    """The API's one error shape. Unknown exceptions stay exceptions."""
    if isinstance(exc, ServiceError):
        return Response(problem(exc), status=exc.status, content_type=PROBLEM_JSON)
    if isinstance(exc, Http404):
        exc = drf.NotFound()
    elif isinstance(exc, PermissionDenied):
        exc = drf.PermissionDenied()
    response = drf_exception_handler(exc, context)
    if response is None or not isinstance(exc, drf.APIException):
        return response
    code = exc.default_code
    body: dict[str, Any] = {
        "type": "about:blank",
        "title": str(exc.default_detail),
        "status": response.status_code,
        "code": code,
    }
    if isinstance(exc, drf.ValidationError):
        faults = _faults(exc.detail)
        body["detail"] = "; ".join(
            f"{fault['where']}: {fault['detail']}" if fault["where"] else fault["detail"] for fault in faults
        )
        body["faults"] = faults
    else:
        body["detail"] = str(exc.detail)
    return Response(
        body,
        status=response.status_code,
        headers={key: response[key] for key in ("Retry-After", "WWW-Authenticate") if key in response},
        content_type=PROBLEM_JSON,
    )


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """An address that leads nowhere."""
    if _of_programs(request):
        return _told(Missing("There is nothing at this address."))
    return defaults.page_not_found(request, exception)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """A request that cannot be one: for a host that is not ours, with too many fields, or cut short."""
    if _of_programs(request):
        return _told(ServiceError("This request cannot be read as one."))
    return defaults.bad_request(request, exception)


def _of_programs(request: HttpRequest) -> bool:
    return request.path.startswith("/api/") or "text/html" not in request.headers.get("Accept", "text/html")


def _told(error: ServiceError) -> HttpResponse:
    return JsonResponse(problem(error), status=error.status, content_type=PROBLEM_JSON)


def server_error(request: HttpRequest) -> HttpResponse:
    """What no view caught: 503 while the database or the file store does not answer, and else 500. Neither reads a row.

    Programs get a problem document: whatever is under `/api/`, and whoever takes no HTML.
    """
    trouble = sys.exc_info()[1]
    away = isinstance(trouble, OperationalError | InterfaceError | StoreAway)
    error: ServiceError = Broken()
    if away:
        error = Unavailable("file store" if isinstance(trouble, StoreAway) else "database")
    answer: HttpResponse
    if _of_programs(request):
        answer = _told(error)
    else:
        answer = HttpResponse(render_to_string(f"{error.status}.html"), status=error.status)
    if away:
        answer["Retry-After"] = str(RETRY_AFTER_S)
        answer["Cache-Control"] = "no-store"
    return answer


class ServiceErrorMiddleware:
    """Shows a service error that a page's view let through as a page: what is wrong, where, how to correct it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: PageRequest, exception: Exception) -> HttpResponse | None:
        if not isinstance(exception, ServiceError):
            return None
        if "text/html" not in request.headers.get("Accept", "text/html"):
            return JsonResponse(problem(exception), status=exception.status, content_type=PROBLEM_JSON)
        template = "includes/_problem.html" if request.htmx else "problem.html"
        return render(request, template, {"problem": problem(exception)}, status=exception.status)
