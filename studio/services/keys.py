"""Keys for programs: made, shown once, and revoked by the person they act for; they end by themselves."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from allauth.account.signals import password_changed, password_reset, password_set
from allauth.mfa.models import Authenticator
from allauth.mfa.signals import authenticator_added
from django.conf import settings
from django.contrib import messages
from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models.signals import post_save
from django.dispatch import receiver
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from studio import access
from studio.access import SECOND_FACTORS
from studio.errors import Invalid, Missing
from studio.inputs import read_text, read_whole
from studio.models import ApiToken, KeyScope, Studio, User
from studio.models.people import KEY_LASTS
from studio.tokens import new_token, token_hash

from .checks import refuse

#: How many keys a person has at most.
MOST = 20
LONGEST_LABEL = 80
LONGEST_DAYS = 366


@transaction.atomic
def token_create(
    *,
    by: User,
    label: str,
    days: int = KEY_LASTS.days,
    scope: str = KeyScope.WRITE,
    studio: Studio | None = None,
    kept: bool = False,
) -> str:
    """A new key of 256 bits. It is returned once and kept nowhere; its maker gets a letter.

    Args:
        days: how long it works.
        studio: the only one that it reaches; all of the maker's where None.
        kept: whether it outlives a new password and a new second factor.

    Raises:
        Invalid: without a label, for a time or a scope that there is not, or past the number of keys a person may have.
        Missing: the studio is not one of theirs.
    """
    label = read_text(label, longest=LONGEST_LABEL, where="label")
    days = read_whole(days, least=1, most=LONGEST_DAYS, where="days")
    faults = [] if label else [{"where": "label", "detail": "Say what uses the key."}]
    if scope not in KeyScope.values:
        faults.append({"where": "scope", "detail": "choose one of " + ", ".join(KeyScope.values)})
    refuse(faults, "This key")
    if by.api_tokens.count() >= MOST:
        raise Invalid(f"You have {MOST} keys. Revoke one first.")
    if studio is not None:
        studio = access.get(by, Studio, studio.pk)
    token = new_token()
    row = ApiToken.objects.create(
        user=by,
        label=label,
        token_sha256=token_hash(token),
        scope=scope,
        studio=studio,
        kept=kept,
        expires_at=timezone.now() + timedelta(days=days),
    )
    address = settings.BASE_URL + reverse("my_settings")
    letter = EmailMessage(
        subject="A key for programs was made in your name",
        body=render_to_string("studio/mail/key.txt", {"key": row, "address": address}),
        to=[by.email],
    )
    transaction.on_commit(lambda: letter.send(fail_silently=False), robust=True)
    return token


@transaction.atomic
def token_revoke(*, by: User, pk: int) -> None:
    """Take a key back: it opens nothing from now on."""
    if not by.api_tokens.filter(pk=pk).delete()[0]:
        raise Missing("There is no such key.")


@transaction.atomic
def tokens_end(*, user: User) -> int:
    """Take back what may have been made by somebody who knew the old password, but for what its maker keeps."""
    return user.api_tokens.filter(kept=False).delete()[0]


@receiver(post_save, sender=User)
def _on_new_password(instance: User, created: bool, **rest: Any) -> None:
    """Whoever set it, and wherever: a page, the admin, a command."""
    if getattr(instance, "_password", None) is not None and not created:
        instance.keys_ended = tokens_end(user=instance)


@receiver([password_changed, password_set, password_reset])
def _tell_of_password(request: HttpRequest, user: User, **rest: Any) -> None:
    _tell(request, user.keys_ended, "password")


@receiver(authenticator_added)
def _on_new_factor(request: HttpRequest, user: User, authenticator: Authenticator, **rest: Any) -> None:
    if authenticator.type in SECOND_FACTORS:
        _tell(request, tokens_end(user=user), "second factor")


def _tell(request: HttpRequest, ended: int, cause: str) -> None:
    if ended:
        keys = "1 key for programs has" if ended == 1 else f"{ended} keys for programs have"
        messages.info(request, f"With the new {cause}, {keys} ended. Make new ones under My settings.")
