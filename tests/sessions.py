"""Sessions of people who are signed in, without the sign-in page."""

from __future__ import annotations

import time
from types import SimpleNamespace
from typing import Any

from allauth.account.internal.flows.login import AUTHENTICATION_METHODS_SESSION_KEY, record_authentication
from django.test import Client


def sign_in(client: Client, user: Any, *, ago: float = 0) -> Client:
    """Signs `user` in by a password that was given so many seconds ago."""
    client.force_login(user)
    session = client.session
    record_authentication(SimpleNamespace(session=session, user=user), user, "password")
    session[AUTHENTICATION_METHODS_SESSION_KEY][-1]["at"] = time.time() - ago
    session.save()
    return client
