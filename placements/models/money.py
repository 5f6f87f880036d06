"""What a studio charges, and what plans are estimated to cost by it."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any, ClassVar

from django.db import models

from studio.models.base import Owned


class PriceList(Owned):
    """One version of a studio's price list. A change makes the next one; estimates keep the one they were made by."""

    studio_path: ClassVar[str] = "studio"

    studio = models.ForeignKey("studio.Studio", models.CASCADE, related_name="price_lists")
    version = models.PositiveIntegerField()
    content = models.JSONField(help_text="Currency, rates, mouldings; amounts as text.")
    made_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["studio", "-version"]
        constraints = [models.UniqueConstraint(fields=["studio", "version"], name="price_list_version_once_a_studio")]

    def __str__(self) -> str:
        return f"Price list {self.version} of {self.studio}"


class Estimate(Owned):
    """What a revision was estimated to cost at one moment: its lines are frozen, `sha256` is the hash of `content`.

    It may be shown at the project's client links from `sent_at` on, and a client approves it there or asks for a
    change; the newest answer counts.
    """

    studio_path: ClassVar[str] = "revision__plan__project__client__studio"

    revision = models.ForeignKey("placements.Revision", models.CASCADE, related_name="estimates")
    version = models.PositiveIntegerField(help_text="Counts through the plan.")
    price_version = models.PositiveIntegerField(help_text="Of the price list; 0 for the figures that come with it.")
    content = models.TextField(help_text="Canonical JSON: lines, sums, hours, what is framed and bought.")
    sha256 = models.CharField(max_length=64)
    currency = models.CharField(max_length=3)
    total = models.DecimalField(max_digits=16, decimal_places=3)
    note = models.TextField(blank=True)
    line_prices = models.BooleanField(default=True, help_text="Whether the client sees each line's price.")
    made_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")
    sent_at = models.DateTimeField(null=True, blank=True)
    approved = models.BooleanField(null=True, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.CharField(max_length=120, blank=True, help_text="The name that the client gave.")
    answer = models.TextField(blank=True)
    link = models.ForeignKey("ClientLink", models.SET_NULL, null=True, blank=True, related_name="estimates")

    class Meta:
        ordering = ["revision__plan", "-version", "-pk"]

    def __str__(self) -> str:
        return f"Estimate {self.version} of {self.revision}"

    @property
    def state(self) -> str:
        """In words: where it stands."""
        if self.approved is not None:
            return "approved" if self.approved else "change wanted"
        return "shown to the client" if self.sent_at else "not shown"

    @property
    def told(self) -> dict[str, Any]:
        """What it says."""
        found: dict[str, Any] = json.loads(self.content)
        return found

    @property
    def amount(self) -> Decimal:
        return Decimal(self.total)
