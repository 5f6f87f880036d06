"""What a hanger's link opens. Everybody else comes through `studio.access`.

A link's token is 256 random bits; only its SHA-256 is kept. It travels in the fragment of the link's address, which
browsers never send, and then in a header: no log, no referrer and no cache ever sees it.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.conf import settings
from django.utils import timezone
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed, PermissionDenied, Throttled
from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle

from placements.models import RevisionState
from studio.tokens import token_hash

from .models import JobLink

SCHEME = "Link"
CLOSED = "This job is closed. What you still note goes to the office as a late note."
GONE = "This link no longer works: it has expired or was withdrawn. Ask the office for a new one."


def link_address(token: str) -> str:
    """The address that a QR code or a message carries; the token is in its fragment."""
    return f"{settings.BASE_URL}/h/#{token}"


def link_open(token: str) -> JobLink | None:
    """The link of a token, unless it has expired or was withdrawn. Notes when it was used, once a minute."""
    now = timezone.now()
    link = (
        JobLink.objects.filter(token_sha256=token_hash(token), revoked_at=None, expires_at__gt=now)
        .select_related("job__revision__plan__project__client__studio", "job__follows__revision")
        .first()
    )
    if link and (link.last_used_at is None or now - link.last_used_at > timedelta(minutes=1)):
        JobLink.objects.filter(pk=link.pk).update(last_used_at=now)
    return link


class LinkThrottle(SimpleRateThrottle):
    """Each link has its allowance, and each address one for links that open nothing: guessing is hopeless, and slow."""

    scope = "link"
    rate = "300/min"

    def get_cache_key(self, request: Request, view: Any) -> str:
        link = getattr(request, "_auth", None)  # `request.auth` would authenticate, which asks this throttle
        who = f"link-{link.pk}" if isinstance(link, JobLink) else self.get_ident(request)
        return str(self.cache_format % {"scope": self.scope, "ident": who})


class LinkAuthentication(BaseAuthentication):
    """`Authorization: Link <token>`: nobody's account, one job. `request.auth` is the link."""

    def authenticate(self, request: Request) -> tuple[None, JobLink]:
        parts = get_authorization_header(request).decode("latin-1").split()
        if len(parts) != 2 or parts[0] != SCHEME:
            raise AuthenticationFailed("Open the job with its link or its code.")
        link = link_open(parts[1])
        if link is None:
            guesses = LinkThrottle()
            if not guesses.allow_request(request, None):
                raise Throttled(guesses.wait())
            raise AuthenticationFailed(GONE)
        return None, link

    def authenticate_header(self, request: Request) -> str:
        return SCHEME


class LinkScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """How the API's published schema names it."""

    target_class = LinkAuthentication
    name = "link"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "apiKey", "in": "header", "name": "Authorization", "description": f"{SCHEME} and the token"}


class HasLink:
    """A permission: the request came with a link that opens a job."""

    message = GONE

    def has_permission(self, request: Request, view: Any) -> bool:
        return isinstance(request.auth, JobLink)

    def has_object_permission(self, request: Request, view: Any, obj: Any) -> bool:
        return self.has_permission(request, view)


class HasOpenLink(HasLink):
    """A permission: the same, while the job is not closed. A closed job's link shows nothing any more."""

    def has_permission(self, request: Request, view: Any) -> bool:
        if not super().has_permission(request, view):
            return False
        if request.auth.job.revision.state == RevisionState.CLOSED:
            raise PermissionDenied(CLOSED)
        return True
