"""A project's plan, its revisions, and where each piece hangs in them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from simple_history.models import HistoricalRecords

from studio.models.base import Leased, LengthField, Owned


class Plan(Owned):
    """Where a project's art hangs. What it says lives in its revisions."""

    studio_path: ClassVar[str] = "project__client__studio"

    project = models.OneToOneField("studio.Project", models.CASCADE, related_name="plan")

    def __str__(self) -> str:
        return f"Plan of {self.project}"


class RevisionState(models.TextChoices):
    DRAFT = "draft", "Draft"
    IN_REVIEW = "in_review", "In review"
    SIGNED = "signed", "Signed"
    ISSUED = "issued", "Issued to the hanger"
    HUNG = "hung", "Hung"
    CLOSED = "closed", "Closed"


#: A plan has at most one revision in these states; every later state is frozen.
EDITABLE_STATES = (RevisionState.DRAFT, RevisionState.IN_REVIEW)


class Revision(Owned):
    """One numbered state of a plan. Signing freezes it: `snapshot` is its canonical JSON, `sha256` its hash.

    The snapshot holds survey, plan, house rules and engine version as the bytes that were hashed, so it verifies
    for ever, whatever the engine becomes.
    """

    studio_path: ClassVar[str] = "plan__project__client__studio"

    plan = models.ForeignKey(Plan, models.CASCADE, related_name="revisions")
    number = models.PositiveIntegerField()
    state = models.CharField(max_length=12, choices=RevisionState.choices, default=RevisionState.DRAFT)
    based_on = models.ForeignKey("self", models.SET_NULL, null=True, blank=True, related_name="+")
    opened_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")
    note = models.TextField(blank=True, help_text="The designer's note to the principal.")
    rules_fingerprint = models.CharField(max_length=64, blank=True)
    snapshot = models.TextField(blank=True)
    sha256 = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["plan", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "number"], name="revision_number_once_a_plan"),
            models.UniqueConstraint(
                fields=["plan"],
                condition=models.Q(state__in=("draft", "in_review")),
                name="one_open_revision_a_plan",
            ),
            models.CheckConstraint(
                condition=models.Q(state__in=("draft", "in_review")) | ~models.Q(sha256=""),
                name="frozen_revision_is_hashed",
            ),
        ]

    def __str__(self) -> str:
        return f"revision {self.number}"

    @property
    def is_frozen(self) -> bool:
        return self.state not in EDITABLE_STATES


class RevisionWall(Owned):
    """The version of one wall in a revision: by it, edits of one wall by two people are kept apart."""

    studio_path: ClassVar[str] = "revision__plan__project__client__studio"

    revision = models.ForeignKey(Revision, models.CASCADE, related_name="walls")
    wall = models.ForeignKey("studio.Wall", models.CASCADE, related_name="+")
    version = models.PositiveIntegerField(default=1)
    edited_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["revision", "wall"]
        constraints = [models.UniqueConstraint(fields=["revision", "wall"], name="wall_once_a_revision")]

    def __str__(self) -> str:
        return f"{self.wall} in {self.revision}"


class Placement(Owned):
    """A piece at its place: lower left corner of its outer edge on the wall [mm].

    Pieces of one group share `group`; `order` is the order of hanging on the wall.
    """

    studio_path: ClassVar[str] = "revision__plan__project__client__studio"

    revision = models.ForeignKey(Revision, models.CASCADE, related_name="placements")
    wall = models.ForeignKey("studio.Wall", models.CASCADE, related_name="placements")
    artwork = models.ForeignKey("studio.Artwork", models.PROTECT, related_name="placements")
    space = models.CharField(max_length=160, blank=True, help_text="The engine's id of the space it hangs in.")
    group = models.CharField(max_length=40, blank=True)
    left_mm = LengthField()
    bottom_mm = LengthField()
    order = models.PositiveIntegerField(default=1)
    locked = models.BooleanField(default=False)
    why = models.TextField(blank=True, help_text="The engine's strongest reasons, in words.")

    history = HistoricalRecords()

    class Meta:
        ordering = ["wall", "order", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "artwork"], name="artwork_hangs_once_a_revision"),
        ]

    def __str__(self) -> str:
        return f"{self.artwork} on {self.wall}"


class Bare(Owned):
    """A space (or, with `space` empty, a whole wall) that is left bare on purpose."""

    studio_path: ClassVar[str] = "revision__plan__project__client__studio"

    revision = models.ForeignKey(Revision, models.CASCADE, related_name="bares")
    wall = models.ForeignKey("studio.Wall", models.CASCADE, related_name="+")
    space = models.CharField(max_length=160, blank=True)
    reason = models.CharField(max_length=250)
    chosen_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["wall", "pk"]
        constraints = [models.UniqueConstraint(fields=["revision", "wall", "space"], name="bare_once_a_space")]

    def __str__(self) -> str:
        return f"{self.wall} bare: {self.reason}"


class Option(Owned):
    """A way to hang a wall that the designer keeps by name, to compare later. It hangs nothing by itself.

    `arrangement` holds `pieces` and `bares` as an edit of the wall takes them.
    """

    studio_path: ClassVar[str] = "wall__room__project__client__studio"

    wall = models.ForeignKey("studio.Wall", models.CASCADE, related_name="options")
    name = models.CharField(max_length=60)
    arrangement = models.JSONField()
    kept_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["wall", "created_at", "pk"]
        constraints = [models.UniqueConstraint(fields=["wall", "name"], name="option_named_once_a_wall")]

    def __str__(self) -> str:
        return self.name


class Transition(Owned):
    """A revision's step from one state to another: who, when, and what they said."""

    studio_path: ClassVar[str] = "revision__plan__project__client__studio"

    revision = models.ForeignKey(Revision, models.CASCADE, related_name="transitions")
    from_state = models.CharField(max_length=12, choices=RevisionState.choices, blank=True)
    to_state = models.CharField(max_length=12, choices=RevisionState.choices)
    by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["revision", "created_at", "pk"]

    def __str__(self) -> str:
        return f"{self.revision}: {self.from_state or 'new'} → {self.to_state}"


class RunState(models.TextChoices):
    QUEUED = "queued", "Queued"
    RUNNING = "running", "Running"
    READY = "ready", "Ready"
    FAILED = "failed", "Failed"
    CANCELLED = "cancelled", "Cancelled"


class ProposalRun(Leased):
    """A request to the engine for a whole plan."""

    studio_path: ClassVar[str] = "project__client__studio"

    project = models.ForeignKey("studio.Project", models.CASCADE, related_name="proposal_runs")
    requested_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")
    state = models.CharField(max_length=10, choices=RunState.choices, default=RunState.QUEUED)
    options = models.JSONField(default=dict, blank=True)
    result = models.JSONField(null=True, blank=True)

    def __str__(self) -> str:
        return f"proposal for {self.project} ({self.state})"

    @property
    def as_usual(self) -> bool:
        """Whether what the studio usually hangs ranks what it proposes."""
        return bool(self.options.get("as_usual"))
