"""What the addresses of pages ask for: words to find, the row to show, days and periods."""

from __future__ import annotations

from typing import Any

from django import forms

from placements.models import RevisionState
from placements.selectors.projects import NO_PLAN
from studio.formfields import Day, PlainText, RowNumber, WholeNumber, offer
from studio.models import Client, Studio, User


class Find(forms.Form):
    """Words to look for in a list."""

    find = PlainText(max_length=200, required=False, label="Words")


class ProjectsQuery(Find):
    """Whose projects, of which client, how far: what a list of projects shows."""

    designer = forms.ModelChoiceField(User.objects.none(), required=False, empty_label="Every designer")
    client = forms.ModelChoiceField(Client.objects.none(), required=False, empty_label="Every client")
    state = forms.ChoiceField(
        choices=[("", "Every state"), (NO_PLAN, "No plan yet"), *RevisionState.choices], required=False, label="State"
    )

    def __init__(self, *args: Any, studio: Studio | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if studio is not None:
            offer(self, "designer", User.objects.filter(memberships__studio=studio).order_by("name", "pk"))
            offer(self, "client", studio.clients.order_by("name", "pk"))


class TrailQuery(forms.Form):
    """Which part of a project's trail is meant."""

    since = Day(required=False)
    until = Day(required=False)
    who = PlainText(max_length=200, required=False)
    kind = PlainText(max_length=40, required=False)


class LearningQuery(forms.Form):
    """A rule, and how many days back."""

    days = WholeNumber(required=False, most=9999)
    rule = PlainText(max_length=60, required=False)


class QueueQuery(forms.Form):
    """The finding to show, or the one that was decided last."""

    finding = RowNumber()
    after = RowNumber()
