"""Who decides in a principal's place."""

from __future__ import annotations

from operator import itemgetter
from typing import Any

from django import forms

from placements.engine.rulebook import catalogue
from studio.formfields import Day, LengthField, WholeNumber, offer, use_units
from studio.models import Project, Role, Studio, User
from studio.units import Units

#: The rules whose exceptions somebody decides.
RULES = sorted(((entry.id, entry.title) for entry in catalogue() if entry.level == "exception"), key=itemgetter(1))


class DeputyForm(forms.Form):
    """A deputy with days, reach and limits; `kwargs` are those of the service."""

    deputy = forms.ModelChoiceField(User.objects.none(), label="Who", empty_label=None)
    first_day = Day(label="From", widget=forms.DateInput({"type": "date"}))
    last_day = Day(label="To and with", widget=forms.DateInput({"type": "date"}))
    project = forms.ModelChoiceField(Project.objects.none(), required=False, empty_label="All projects", label="For")
    most_mm = LengthField(required=False, zero=True, label="Lengths at most out by", help_text="Empty: any distance.")
    most_share = WholeNumber(
        required=False, most=100, label="Shares at most out by, in %", help_text="Empty: any share, as of two-thirds."
    )
    may_sign = forms.BooleanField(required=False, label="May sign plans, too")
    rules = forms.MultipleChoiceField(
        choices=RULES, required=False, widget=forms.CheckboxSelectMultiple, label="Only these rules"
    )

    def __init__(self, *args: Any, studio: Studio, units: Units, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        use_units(self, units)
        members = studio.memberships.filter(role__in=(Role.DESIGNER, Role.COORDINATOR)).values("user")
        offer(self, "deputy", User.objects.filter(pk__in=members).order_by("name", "pk"))
        offer(self, "project", Project.objects.filter(client__studio=studio).order_by("name", "pk"))

    def clean_most_share(self) -> float | None:
        share = self.cleaned_data["most_share"]
        return None if share is None else share / 100
