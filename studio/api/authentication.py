"""The API's own sign-in: `Authorization: Token …` with a key of the person's."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db.models import Q
from django.utils import timezone
from rest_framework.authentication import TokenAuthentication
from rest_framework.exceptions import AuthenticationFailed, PermissionDenied, Throttled
from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle

from studio.access import lacks_factor
from studio.models import ApiToken, KeyScope
from studio.tokens import token_hash

#: The last use is noted at most this often, and whenever it comes from elsewhere.
NOTE_EVERY = dt.timedelta(minutes=5)


class WrongKeyThrottle(SimpleRateThrottle):
    """What an address may try in wrong keys. A right one from there is always taken: its neighbours did nothing."""

    scope = "wrong-key"
    rate = "20/min"

    def get_cache_key(self, request: Request, view: Any) -> str:
        return str(self.cache_format % {"scope": self.scope, "ident": self.get_ident(request)})


class KeyAuthentication(TokenAuthentication):
    def authenticate(self, request: Request) -> tuple[Any, Any] | None:
        """The person whose key it is, and the key, whose last use is noted.

        Raises:
            AuthenticationFailed: the key opens nothing, or not any more.
            Throttled: so many wrong ones came from this address that they are not answered for a while.
            PermissionDenied: the key only reads, or the person must set up a second factor first.
        """
        try:
            found = super().authenticate(request)
        except AuthenticationFailed:
            guesses = WrongKeyThrottle()
            if not guesses.allow_request(request, None):
                raise Throttled(guesses.wait()) from None
            raise
        if found is None:
            return None
        user, key = found
        if key.scope == KeyScope.READ and request.method not in SAFE_METHODS:
            raise PermissionDenied("This key only reads. Make one that may change things, under My settings.")
        if lacks_factor(user):
            raise PermissionDenied("Your studio asks for a second factor: set one up on the site, then use the key.")
        user.key_studio_id = key.studio_id
        _note_use(key, WrongKeyThrottle().get_ident(request))
        return user, key

    def authenticate_credentials(self, key: str) -> tuple[Any, ApiToken]:
        row = ApiToken.objects.select_related("user").filter(token_sha256=token_hash(key)).first()
        if row is None or not row.user.is_active:
            raise AuthenticationFailed("This key does not work: it was revoked, or mistyped.")
        if row.expires_at <= timezone.now():
            raise AuthenticationFailed(
                f"This key ended on {row.expires_at:%d %B %Y}. Make a new one under My settings."
            )
        return row.user, row


def _note_use(key: ApiToken, address: str) -> None:
    now = timezone.now()
    lately = Q(last_used_at__gt=now - NOTE_EVERY, last_used_from=address)
    if key.last_used_at is None or key.last_used_at <= now - NOTE_EVERY or key.last_used_from != address:
        ApiToken.objects.filter(pk=key.pk).exclude(lately).update(last_used_at=now, last_used_from=address)
