"""Lists of art on their way into the inventory."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from .base import Leased
from .clients import Client, Project
from .people import Studio, User


class ListState(models.TextChoices):
    QUEUED = "queued", "Waiting"
    RUNNING = "running", "Being read"
    READY = "ready", "Read"
    FAILED = "failed", "Cannot be read"


class ArtList(Leased):
    """A spreadsheet that somebody sent, read in the background, with how it is to be read; its sender's own.

    `content` is the file until it is read; `sheets` then holds {"name", "rows"}, rows of text as in the file. `choice`
    holds the number of the sheet, the index of the row of headings and the field of each column; `mended` the cells
    mended on the page, by row and field; `taken` rows that are pieces because somebody said so; `done` rows that are
    stored, or left out for good.
    """

    studio_path: ClassVar[str] = "studio"

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="lists")
    sent_by = models.ForeignKey(User, models.CASCADE, related_name="+")
    client = models.ForeignKey(Client, models.CASCADE, null=True, blank=True, related_name="+")
    project = models.ForeignKey(Project, models.CASCADE, null=True, blank=True, related_name="+")
    name = models.CharField(max_length=120)
    unit = models.CharField(max_length=2)
    order = models.CharField(max_length=12)
    state = models.CharField(max_length=10, choices=ListState.choices, default=ListState.QUEUED)
    content = models.BinaryField(default=bytes)
    sheets = models.JSONField(default=list, blank=True)
    choice = models.JSONField(default=dict, blank=True)
    mended = models.JSONField(default=dict, blank=True)
    taken = models.JSONField(default=list, blank=True)
    done = models.JSONField(default=list, blank=True)

    def __str__(self) -> str:
        return self.name
