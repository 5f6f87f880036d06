"""Due dates of a project, and what the page of all dates shows."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms

from placements.models import DateKind
from studio.formfields import Day, Ticked, offer
from studio.models import Client, Studio, User


class DatesForm(forms.Form):
    """A day, or none, for each kind."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for kind, name in DateKind.choices:
            self.fields[kind] = Day(label=name, required=False, widget=forms.DateInput({"type": "date"}))

    def days(self) -> dict[str, dt.date | None]:
        return dict(self.cleaned_data)


class MetForm(forms.Form):
    met = Ticked()


class DatesQuery(forms.Form):
    """Whose dates, of which client, of which kind; met ones too."""

    designer = forms.ModelChoiceField(User.objects.none(), required=False, empty_label="Everybody")
    client = forms.ModelChoiceField(Client.objects.none(), required=False, empty_label="All clients")
    kind = forms.ChoiceField(choices=[("", "Everything due"), *DateKind.choices], required=False, label="What")
    met = forms.BooleanField(required=False, label="Met ones, too")

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "designer", User.objects.filter(memberships__studio=studio).order_by("name", "pk"))
        offer(self, "client", studio.clients.order_by("name", "pk"))
