"""Sheets that Celery renders, and jobs that hangers carry out."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from django.db import models

from studio.models.base import Leased, Owned
from studio.reader import zone_of


class ReportKind(models.TextChoices):
    INSTALL = "install", "Install sheets"
    TEMPLATE = "template", "Full-size paper template"
    CLOSE_OUT = "close_out", "Close-out record"
    ESTIMATE = "estimate", "Estimate"
    ORDER = "order", "Order to the framer"
    SHOPPING = "shopping", "Hardware and purchases"


#: Documents of an estimate; all others are of a signed revision.
OF_AN_ESTIMATE = (ReportKind.ESTIMATE, ReportKind.ORDER, ReportKind.SHOPPING)


class ReportState(models.TextChoices):
    QUEUED = "queued", "Queued"
    RENDERING = "rendering", "Rendering"
    READY = "ready", "Ready"
    FAILED = "failed", "Failed"


def report_path(report: Any, filename: str) -> str:
    return f"studios/{report.revision.plan.project.client.studio_id}/sheets/{report.pk}/{filename}"


class Report(Leased):
    """A PDF asked for: queued → rendering → ready, or failed with the reason. Rendering is idempotent."""

    studio_path: ClassVar[str] = "revision__plan__project__client__studio"
    working_state: ClassVar[str] = ReportState.RENDERING

    revision = models.ForeignKey("placements.Revision", models.CASCADE, related_name="reports")
    kind = models.CharField(max_length=12, choices=ReportKind.choices, default=ReportKind.INSTALL)
    wall = models.ForeignKey("studio.Wall", models.CASCADE, null=True, blank=True, related_name="+")
    artwork = models.ForeignKey("studio.Artwork", models.CASCADE, null=True, blank=True, related_name="+")
    job = models.ForeignKey("Job", models.CASCADE, null=True, blank=True, related_name="reports")
    estimate = models.ForeignKey(
        "placements.Estimate", models.CASCADE, null=True, blank=True, related_name="reports"
    )  # fmt: skip
    paper = models.CharField(max_length=8, default="letter")
    state = models.CharField(max_length=10, choices=ReportState.choices, default=ReportState.QUEUED)
    requested_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")
    fingerprint = models.CharField(max_length=64, help_text="SHA-256 of everything that the sheet shows.")
    file = models.FileField(upload_to=report_path, blank=True)
    file_sha256 = models.CharField(max_length=64, blank=True)
    pages = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.get_kind_display()} ({self.state})"


class Job(Owned):
    """A signed revision issued to a hanger."""

    studio_path: ClassVar[str] = "revision__plan__project__client__studio"

    revision = models.ForeignKey("placements.Revision", models.PROTECT, related_name="jobs")
    hanger_name = models.CharField(max_length=120)
    note = models.TextField(blank=True)
    to_studs = models.BooleanField(default=False, help_text="Hooks may move within tolerance to meet studs.")
    follows = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="followed_by",
        help_text="The job of the revision before, whose pieces that are up and right it carries over.",
    )  # fmt: skip
    issued_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")
    started_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.revision} issued to {self.hanger_name}"

    @property
    def zone(self) -> ZoneInfo:
        """The clock where it is hung."""
        return zone_of(self.revision.plan.project)


class JobLink(Owned):
    """The hanger's way in without an account; only the SHA-256 of its token is kept."""

    studio_path: ClassVar[str] = "job__revision__plan__project__client__studio"

    job = models.ForeignKey(Job, models.CASCADE, related_name="links")
    token_sha256 = models.CharField(max_length=64, unique=True)
    report = models.ForeignKey(
        Report, models.SET_NULL, null=True, blank=True, related_name="links", help_text="The sheets that print it."
    )
    created_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return f"link to {self.job}"


class ActionKind(models.TextChoices):
    DROP = "drop", "Drop measured"
    UP = "up", "Up"
    DOWN = "down", "Taken down again"
    MEASURED = "measured", "As-hung measures"
    PHOTO = "photo", "Photo"
    PROBLEM = "problem", "Problem"
    SOLVED = "solved", "Problem solved"
    UNLOADED = "unloaded", "Taken off the van"
    CONDITION = "condition", "Condition"
    HANDED_OVER = "handed_over", "Handed over"


def action_photo_path(action: Any, filename: str) -> str:
    return f"studios/{action.job.revision.plan.project.client.studio_id}/jobs/{action.job_id}/{filename}"


class JobAction(Owned):
    """One thing the hanger did, recorded on the phone and synced exactly once, in order.

    `uuid` is made on the phone; `sequence` counts on that phone (`device`). `done_at` is by the phone's clock, which
    was `clock_fast_s` ahead of ours when it sent this; `at` is the same by ours. What comes `late`, after its job was
    closed, is kept and told, and changes nothing of the job.
    """

    studio_path: ClassVar[str] = "job__revision__plan__project__client__studio"

    job = models.ForeignKey(Job, models.CASCADE, related_name="actions")
    link = models.ForeignKey(JobLink, models.SET_NULL, null=True, related_name="actions")
    uuid = models.UUIDField(unique=True)
    device = models.CharField(max_length=40)
    sequence = models.PositiveIntegerField()
    kind = models.CharField(max_length=12, choices=ActionKind.choices)
    placement = models.ForeignKey("placements.Placement", models.SET_NULL, null=True, related_name="+")
    payload = models.JSONField(default=dict, blank=True)
    photo = models.ImageField(upload_to=action_photo_path, blank=True)
    done_at = models.DateTimeField()
    clock_fast_s = models.FloatField(default=0.0)
    late = models.BooleanField(default=False)
    conflict = models.CharField(max_length=250, blank=True)

    class Meta:
        ordering = ["job", "created_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["job", "device", "sequence"], name="action_sequence_once_a_device")
        ]

    def __str__(self) -> str:
        return f"{self.kind} ({self.at:%H:%M})"

    @property
    def at(self) -> datetime:
        """When it was done, by our clock."""
        return self.done_at - timedelta(seconds=self.clock_fast_s)
