"""The phone's shell: a page without any content of its own, its worker and its manifest. All of it is public.

The link's token stands in the address's fragment, which never reaches us; the page hands it to `api_phone` in a header.
"""

from __future__ import annotations

import hashlib
import json

from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_GET

from .pdf import static_bytes

#: Everything that the page needs with no signal.
SHELL = (
    "studio/tokens.css",
    "studio/fonts/sans-400.woff2",
    "studio/fonts/sans-600.woff2",
    "studio/fonts/serif-500.woff2",
    "studio/mark.svg",
    "studio/dom.js",
    "studio/lengths.js",
    "placements/drawing.css",
    "reports/phone.css",
    "reports/phone/app.js",
    "reports/phone/handover.js",
    "reports/phone/job.js",
    "reports/phone/measure.js",
    "reports/phone/notes.js",
    "reports/phone/pad.js",
    "reports/phone/parts.js",
    "reports/phone/store.js",
    "reports/phone/sync.js",
    "reports/phone/views.js",
    "reports/phone/voice.js",
    "reports/phone/zoom.js",
)


def _answer(response: HttpResponse) -> HttpResponse:
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow"
    response["Cache-Control"] = "no-cache"
    return response


@require_GET
def phone(request: HttpRequest) -> HttpResponse:
    return _answer(render(request, "reports/phone.html"))


@require_GET
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, with the list of what to keep and its version."""
    files = [static(name) for name in SHELL]
    seen = hashlib.sha256()
    for name in SHELL if settings.DEBUG or finders.find(SHELL[0]) else ():
        seen.update(static_bytes(name))
    seen.update("".join(files).encode())
    shell = json.dumps([reverse("phone"), reverse("phone_manifest"), *files])
    page = {"shell": shell, "version": seen.hexdigest()[:16]}
    return _answer(render(request, "reports/phone_worker.js", page, content_type="text/javascript"))


@require_GET
def manifest(request: HttpRequest) -> HttpResponse:
    """No start address: what is put on the home screen opens where the hanger was, with the link's fragment."""
    return _answer(
        JsonResponse(
            {
                "name": "Hanging job",
                "short_name": "Hanging",
                "id": reverse("phone"),
                "scope": reverse("phone"),
                "display": "standalone",
                "background_color": "#f7f4ee",
                "theme_color": "#f7f4ee",
                "icons": [{"src": static("studio/mark.svg"), "sizes": "any", "type": "image/svg+xml"}],
            },
            content_type="application/manifest+json",
        )
    )
