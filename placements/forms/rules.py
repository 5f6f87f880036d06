"""Numbers typed over on the page of house rules."""

from __future__ import annotations

from typing import Any

from django import forms

from studio.formfields import PlainText, RowNumber

#: The name of the hidden field that holds what a box said when the page was made.
WAS = "was:"


class ForForm(forms.Form):
    """Whose numbers are meant: a project's, else the studio's own."""

    project = RowNumber()


class PictureForm(ForForm):
    picture = PlainText(max_length=60, required=False)


class ResetForm(ForForm):
    field = PlainText(max_length=120, required=False)


class NumbersForm(ForForm):
    """A box for each number, named by rule and limit, beside a hidden one with what it said before."""

    reason = PlainText(max_length=250, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.data:
            if f"{WAS}{name}" in self.data:
                for box in (name, f"{WAS}{name}"):
                    self.fields[box] = PlainText(max_length=120, required=False, label=name)
