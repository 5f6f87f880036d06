"""A studio's own numbers for the rules of hanging."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from simple_history.models import HistoricalRecords

from studio.models.base import Owned


class HouseRule(Owned):
    """One limit of one rule that differs from the default, for the studio or for one project.

    `rule` and `limit` are names of the engine's rulebook; `value` is in the limit's own unit.
    """

    studio_path: ClassVar[str] = "studio"

    studio = models.ForeignKey("studio.Studio", models.CASCADE, related_name="house_rules")
    project = models.ForeignKey("studio.Project", models.CASCADE, null=True, blank=True, related_name="house_rules")
    rule = models.CharField(max_length=40)
    limit = models.CharField(max_length=60)
    value = models.FloatField()
    reason = models.CharField(max_length=250, blank=True)
    changed_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")

    history = HistoricalRecords()

    class Meta:
        ordering = ["rule", "limit", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "rule", "limit"],
                condition=models.Q(project__isnull=True),
                name="house_rule_once_a_studio",
            ),
            models.UniqueConstraint(
                fields=["project", "rule", "limit"],
                condition=models.Q(project__isnull=False),
                name="house_rule_once_a_project",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.rule}.{self.limit} = {self.value:g}"
