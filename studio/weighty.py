"""What an open session alone must not do: whoever asks for it has proved within a quarter of an hour that it is they.

    @login_required
    @weighty
    def studio_export(request: SignedRequest) -> HttpResponse: ...

A page sends people to confirm and then goes on by itself with what was sent; the API refuses and says so. A program's
key is a proof of its own: it was made under this rule, and has a scope and an end.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar, cast, overload

from allauth.account.internal.flows.login import get_authentication_records
from allauth.core.exceptions import ReauthenticationRequired
from django.conf import settings
from django.http import HttpRequest
from rest_framework.request import Request

from .errors import ServiceError

View = TypeVar("View", bound=Callable[..., Any])


class ProofNeeded(ServiceError):
    """The session is the caller's, but its last proof of that is too old for this."""

    status = 403
    code = "proof-needed"
    title = "Confirm that it is you"


def proven(request: HttpRequest) -> bool:
    """Whether the caller's newest proof in this session, a sign-in or a confirmation, is recent enough."""
    records = get_authentication_records(request, request.user)
    newest = max((float(record["at"]) for record in records), default=0.0)
    return time.time() - newest < settings.ACCOUNT_REAUTHENTICATION_TIMEOUT


@overload
def weighty(view: View) -> View: ...
@overload
def weighty(*, when: Callable[[Any], bool]) -> Callable[[View], View]: ...
def weighty(view: View | None = None, *, when: Callable[[Any], bool] | None = None) -> View | Callable[[View], View]:
    """Marks a view, or an API's operation, that asks for a recent proof: always, or `when` its request says so.

    Raises:
        ProofNeeded: in the API, to somebody who is signed in on the site.
    """

    def decorate(inner: View) -> View:
        @wraps(inner)
        def outer(*args: Any, **kwargs: Any) -> Any:
            request = next(one for one in args if isinstance(one, HttpRequest | Request))
            if when is None or when(request):
                _expect_proof(request)
            return inner(*args, **kwargs)

        outer.weighty = True  # type: ignore[attr-defined]
        return cast(View, outer)

    return decorate(view) if view is not None else decorate


def _expect_proof(request: HttpRequest | Request) -> None:
    if isinstance(request, HttpRequest):
        if not proven(request):
            raise ReauthenticationRequired
    elif request.auth is None and not proven(request._request):
        minutes = settings.ACCOUNT_REAUTHENTICATION_TIMEOUT // 60
        raise ProofNeeded(
            f"Sign in again on the site, or use a key: it is more than {minutes} minutes since you last did."
        )
