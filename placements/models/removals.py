"""What was deleted from a survey, so that it can be brought back."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.models.base import Owned


class Removal(Owned):
    """A room or a wall that was deleted, with every row that went with it.

    `rows` are those rows as Django's JSON serializer writes them; `emptied` are the links of rows that stayed, as
    {"model", "pk", "field", "value"}.
    """

    studio_path: ClassVar[str] = "project__client__studio"

    project = models.ForeignKey("studio.Project", models.CASCADE, related_name="removals")
    label = models.CharField(max_length=250, help_text="What it was: “North wall in Dining room”.")
    removed_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")
    rows = models.JSONField()
    emptied = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return self.label
