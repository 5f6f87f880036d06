"""What was deleted from a survey, so that it can be brought back."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from django.apps import apps
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

    @classmethod
    def more_files(cls) -> Iterator[str]:
        """The files of what was deleted: they stay as long as it can be brought back."""
        fields = {
            model._meta.label_lower: [field.name for field in model._meta.fields if isinstance(field, models.FileField)]
            for model in apps.get_models()
        }
        for rows in cls.objects.values_list("rows", flat=True).iterator():
            for row in rows:
                yield from filter(None, (row["fields"].get(name) for name in fields.get(row["model"], ())))
