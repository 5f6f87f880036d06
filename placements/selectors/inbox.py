"""A person's inbox."""

from __future__ import annotations

from django.db.models import QuerySet

from placements.models import Notice
from studio.models import User


def notices_of(user: User) -> QuerySet[Notice]:
    """The user's notices, the newest first, of the studios that they are still in."""
    return Notice.objects.filter(user=user, studio__memberships__user=user).select_related("studio")


def unread_count(user: User) -> int:
    return notices_of(user).filter(read_at=None).count()
