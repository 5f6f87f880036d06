"""What the principal sees and decides."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils import timezone

from studio.models.base import Owned

from .plans import Revision


class ReviewFinding(Owned):
    """A finding of the engine as it stood when the plan was sent to review."""

    studio_path: ClassVar[str] = "revision__plan__project__client__studio"

    revision = models.ForeignKey(Revision, models.CASCADE, related_name="findings")
    wall = models.ForeignKey("studio.Wall", models.CASCADE, related_name="+")
    artworks = models.ManyToManyField("studio.Artwork", related_name="+", blank=True)
    key = models.CharField(max_length=64, help_text="The same finding on the same pieces has the same key.")
    rule = models.CharField(max_length=40)
    level = models.CharField(max_length=10, choices=[(name, name) for name in ("note", "exception", "stop")])
    text = models.TextField()
    space = models.CharField(max_length=160, blank=True)
    measured = models.FloatField(null=True, blank=True)
    low = models.FloatField(null=True, blank=True)
    high = models.FloatField(null=True, blank=True)
    unit = models.CharField(max_length=12, blank=True)
    limit = models.CharField(max_length=40, blank=True, help_text="The number of the rule that is missed, by its name.")
    where = models.JSONField(null=True, blank=True, help_text="[left, bottom, width, height] in mm.")
    remedies = models.JSONField(default=list, blank=True)
    justification = models.TextField(blank=True, help_text="Why the designer wants it so.")
    justified_at = models.DateTimeField(null=True, blank=True, help_text="When the plan was last sent with it.")
    corrected_at = models.DateTimeField(
        null=True, blank=True, help_text="When it was found corrected; its decisions stay."
    )

    class Meta:
        verbose_name = "finding"
        ordering = ["wall", "rule", "pk"]
        constraints = [models.UniqueConstraint(fields=["revision", "key"], name="finding_once_a_revision")]
        indexes = [models.Index(fields=["revision", "level"]), models.Index(fields=["key"])]

    def __str__(self) -> str:
        return f"{self.rule}: {self.text}"


class Verdict(models.TextChoices):
    ACCEPT = "accept", "Accept"
    ACCEPT_PROJECT = "accept_project", "Accept for the whole project"
    RETURN = "return", "Return"
    RULE_CHANGED = "rule_changed", "House rule changed"


class Delegation(Owned):
    """A principal's leave to somebody to decide in their place: on these days, for one project or all, by these rules
    or all, up to so far out of a band. It never reaches what holds beyond one exception: house rules, whole projects.
    """

    studio_path: ClassVar[str] = "studio"

    studio = models.ForeignKey("studio.Studio", models.CASCADE, related_name="delegations")
    principal = models.ForeignKey("studio.User", models.CASCADE, related_name="+")
    deputy = models.ForeignKey("studio.User", models.CASCADE, related_name="+")
    project = models.ForeignKey("studio.Project", models.CASCADE, null=True, blank=True, related_name="+")
    rules = models.JSONField(default=list, blank=True, help_text="Ids of rules; empty for all.")
    most_mm = models.FloatField(null=True, blank=True, help_text="How far out a length may be.")
    most_share = models.FloatField(null=True, blank=True, help_text="How far out a share may be, 0-1.")
    may_sign = models.BooleanField(default=False)
    first_day = models.DateField()
    last_day = models.DateField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-first_day", "-pk"]
        indexes = [models.Index(fields=["deputy", "ended_at"])]

    def __str__(self) -> str:
        return f"{self.deputy} for {self.principal}"


class Decision(Owned):
    """The principal's answer to an exception. A later one replaces an earlier; none is deleted.

    `basis` is the earlier decision that this one follows: one for the whole project, or the same finding's in an
    earlier revision. The newest that was not withdrawn counts.
    """

    studio_path: ClassVar[str] = "finding__revision__plan__project__client__studio"

    finding = models.ForeignKey(ReviewFinding, models.CASCADE, related_name="decisions")
    verdict = models.CharField(max_length=16, choices=Verdict.choices)
    reason = models.TextField(blank=True)
    wanted = models.CharField(max_length=250, blank=True, help_text="Of a return: what would be accepted.")
    by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")
    in_name_of = models.ForeignKey(
        "studio.User", models.SET_NULL, null=True, blank=True, related_name="+", help_text="The principal of a deputy."
    )
    basis = models.ForeignKey("self", models.SET_NULL, null=True, blank=True, related_name="followers")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["finding", "-created_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.verdict}: {self.finding}"


class SignOff(Owned):
    """The principal's signature under a frozen revision."""

    studio_path: ClassVar[str] = "revision__plan__project__client__studio"

    revision = models.OneToOneField(Revision, models.PROTECT, related_name="sign_off")
    by = models.ForeignKey("studio.User", models.PROTECT, related_name="+")
    in_name_of = models.ForeignKey(
        "studio.User", models.PROTECT, null=True, blank=True, related_name="+", help_text="The principal of a deputy."
    )
    name = models.CharField(max_length=120, help_text="The name when it was signed.")
    sha256 = models.CharField(max_length=64)
    statement = models.TextField(blank=True)
    at = models.DateTimeField(default=timezone.now, help_text="The moment that the record names.")

    class Meta:
        ordering = ["-created_at"]

    def __str__(self) -> str:
        return f"{self.revision} signed by {self.name}"
