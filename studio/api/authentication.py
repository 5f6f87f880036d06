"""The API's own sign-in: `Authorization: Token …` with a key of the person's."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils import timezone
from rest_framework.authentication import TokenAuthentication
from rest_framework.exceptions import AuthenticationFailed, PermissionDenied

from studio.access import lacks_factor
from studio.models import ApiToken
from studio.tokens import token_hash

#: The last use is noted at most this often.
NOTE_EVERY = dt.timedelta(minutes=5)


class KeyAuthentication(TokenAuthentication):
    def authenticate_credentials(self, key: str) -> tuple[Any, ApiToken]:
        """The person whose key it is."""
        token = ApiToken.objects.select_related("user").filter(token_sha256=token_hash(key)).first()
        if token is None or not token.user.is_active:
            raise AuthenticationFailed("This key does not work: it was revoked, or mistyped.")
        if lacks_factor(token.user):
            raise PermissionDenied("Your studio asks for a second factor: set one up on the site, then use the key.")
        now = timezone.now()
        if token.last_used_at is None or token.last_used_at < now - NOTE_EVERY:
            ApiToken.objects.filter(pk=token.pk).update(last_used_at=now)
        return token.user, token
