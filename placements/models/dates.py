"""When each part of a project is due, and the secret addresses under which a calendar reads it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.models.base import Owned


class DateKind(models.TextChoices):
    PROPOSAL = "proposal", "Proposal"
    REVIEW = "review", "Review"
    SIGN_OFF = "sign_off", "Sign-off"
    FRAMES = "frames", "Frames back"
    INSTALL = "install", "Install"


class DueDate(Owned):
    """A day that something of a project is due on. A plan's own steps meet it; frames are ticked off by hand."""

    studio_path: ClassVar[str] = "project__client__studio"

    project = models.ForeignKey("studio.Project", models.CASCADE, related_name="due_dates")
    kind = models.CharField(max_length=10, choices=DateKind.choices)
    day = models.DateField()
    times_changed = models.PositiveIntegerField(default=0)
    ticked_at = models.DateTimeField(null=True, blank=True, help_text="When it was met, as somebody said.")
    reminded_on = models.DateField(null=True, blank=True, help_text="The day of the newest reminder.")

    class Meta:
        ordering = ["day", "pk"]
        constraints = [models.UniqueConstraint(fields=["project", "kind"], name="due_once_a_project")]
        indexes = [models.Index(fields=["day"])]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.project}"


class CalendarAddress(Owned):
    """A secret address of one person's dates, or of one project's; only the SHA-256 of its token is kept."""

    studio_path: ClassVar[str] = "studio"

    studio = models.ForeignKey("studio.Studio", models.CASCADE, related_name="calendar_addresses")
    user = models.ForeignKey("studio.User", models.CASCADE, related_name="calendar_addresses", help_text="Who made it.")
    project = models.ForeignKey(
        "studio.Project", models.CASCADE, null=True, blank=True, related_name="calendar_addresses"
    )
    token_sha256 = models.CharField(max_length=64, unique=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.project or self.user}"
