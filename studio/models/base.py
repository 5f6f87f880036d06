"""What every model shares: how it is scoped to a studio, and how it is numbered and dated."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar, Self, TypeVar

from django.db import models

if TYPE_CHECKING:
    from .people import User

Row = TypeVar("Row", bound="Owned")


class OwnedQuerySet(models.QuerySet[Row]):
    """Rows that belong to a studio, reached by the model's own `studio_path`."""

    def of_studio(self, studio: Any) -> Self:
        """Only what belongs to `studio`: the single scoping mechanism of every page and API operation."""
        return self.filter(**{self.model.studio_path: studio})


class Owned(models.Model):
    """A row that belongs to exactly one studio, at the end of `studio_path`."""

    #: The lookup from this model to its Studio, such as "room__project__client__studio".
    studio_path: ClassVar[str] = "studio"

    #: Who makes the change, as the history of a row that has one names them.
    _history_user: User

    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        abstract = True


class Leased(Owned):
    """A row that a worker works on in the background. The row, not the queue, is the truth.

    Its life is in `studio.background`. `state` is each model's own field, of which "queued", "ready", "failed" and
    `working_state` are used there; `progress` goes from 0 to 1; `lease_until` of a queued row is when it has rested.
    """

    #: What `state` is called while a worker has the row.
    working_state: ClassVar[str] = "running"

    state: Any
    progress = models.FloatField(default=0.0)
    error = models.TextField(blank=True)
    attempts = models.PositiveIntegerField(default=0)
    lease_owner = models.CharField(max_length=64, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    asked_at = models.DateTimeField(null=True, editable=False, help_text="When it was last asked for.")
    request_id = models.CharField(
        max_length=64, blank=True, editable=False, help_text="Of the request that asked for it, as log lines have it."
    )

    class Meta:
        abstract = True
        ordering = ["-created_at", "-pk"]
        indexes = [models.Index(fields=["state", "lease_until"])]


class LengthField(models.FloatField):  # type: ignore[type-arg]
    """A length in millimetres; wide enough for exact sixteenths of an inch (1.5875 mm)."""

    description = "A length in millimetres"


def positive(name: str, *fields: str) -> models.CheckConstraint:
    """A database constraint that keeps every one of `fields` above zero."""
    return models.CheckConstraint(condition=models.Q(**{f"{field}__gt": 0 for field in fields}), name=name)
