"""How people sign in: by invitation only, with a lockout that says how long it lasts and a second factor if wanted."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core.internal.httpkit import get_client_ip
from allauth.mfa.adapter import DefaultMFAAdapter
from axes.helpers import get_cool_off
from cryptography.fernet import Fernet, MultiFernet
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render

from .access import lacks_factor
from .errors import NotAllowed
from .problems import PROBLEM_JSON, problem
from .weighty import proven

#: What a person without a second factor may still reach, to set one up or to leave.
ALWAYS_OPEN = ("/account/", "/health/", "/static/")


class AccountAdapter(DefaultAccountAdapter):
    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Accounts come from a studio's invitation only."""
        return False

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        """Letters lead to this site's own address, whatever host the request named."""
        asked = self.request.build_absolute_uri("/")
        own = {
            name: f"{settings.BASE_URL}/{value.removeprefix(asked)}"
            for name, value in context.items()
            if isinstance(value, str) and value.startswith(asked)
        }
        site = SimpleNamespace(name="Overmantel", domain=settings.HOST)
        super().send_mail(template_prefix, email, {"current_site": site, **context, **own})

    def is_reauthentication_required(self, *, app: str, **kwargs: Any) -> bool:
        """The library's own pages (second factor, e-mail address) ask as ours do, and take a sign-in for a proof."""
        return super().is_reauthentication_required(app=app, **kwargs) and not proven(self.request)


class SecondFactorAdapter(DefaultMFAAdapter):
    """Keeps the seeds of one-time codes encrypted, so that a copy of the database alone signs nobody in."""

    def encrypt(self, text: str) -> str:
        return _cipher().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text: str) -> str:
        return _cipher().decrypt(encrypted_text.encode()).decode()


def _cipher() -> MultiFernet:
    """Encrypts by the secret key, and still reads what its fallbacks encrypted."""
    keys = (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)
    digests = (hashlib.sha256(b"overmantel second factor:" + key.encode()).digest() for key in keys)
    return MultiFernet([Fernet(base64.urlsafe_b64encode(digest)) for digest in digests])


class RequireSecondFactor:
    """Sends people whose studio asks for a second factor to set one up before anything else."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if not request.user.is_authenticated or request.path.startswith(ALWAYS_OPEN) or not lacks_factor(request.user):
            return self.get_response(request)
        if request.path.startswith("/api/"):
            refused = NotAllowed("Your studio asks for a second factor: set one up under your account first.")
            return JsonResponse(problem(refused), status=refused.status, content_type=PROBLEM_JSON)
        messages.info(request, "Your studio asks for a second factor. Set one up here, then go on.")
        return redirect("mfa_index")


def client_address(request: HttpRequest) -> str | None:
    """The caller's address, past as many proxies as ours are."""
    address: str | None = get_client_ip(request)
    return address


def locked_out(request: HttpRequest, response: HttpResponse | None = None, credentials: Any = None) -> HttpResponse:
    minutes = max(1, round(get_cool_off(request).total_seconds() / 60))
    body = {
        "title": "Too many tries",
        "status": 429,
        "code": "locked-out",
        "detail": f"Sign-in here is closed for {minutes} minutes. A forgotten password can be set anew.",
    }
    answer = render(request, "problem.html", {"problem": body}, status=429)
    answer["Retry-After"] = str(minutes * 60)
    return answer
