"""Keys for programs: made, shown once, and taken back by the person they act for."""

from __future__ import annotations

from django.db import transaction

from studio.errors import Invalid, Missing
from studio.models import ApiToken, User
from studio.tokens import new_token, token_hash

#: How many keys a person has at most.
MOST = 20


@transaction.atomic
def token_create(*, by: User, label: str) -> str:
    """A new key of 256 bits. It is returned once and kept nowhere.

    Raises:
        Invalid: without a label, or past the number of keys a person may have.
    """
    label = label.strip()
    if not label or len(label) > 80:
        raise Invalid(
            "Say in at most 80 characters what uses the key.", faults=[{"where": "label", "detail": "Name it."}]
        )
    if by.api_tokens.count() >= MOST:
        raise Invalid(f"You have {MOST} keys. Revoke one first.")
    token = new_token()
    ApiToken.objects.create(user=by, label=label, token_sha256=token_hash(token))
    return token


@transaction.atomic
def token_revoke(*, by: User, pk: int) -> None:
    """Take a key back: it opens nothing from now on."""
    if not by.api_tokens.filter(pk=pk).delete()[0]:
        raise Missing("There is no such key.")
