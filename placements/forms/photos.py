"""Marking a photograph: what its page and its script send."""

from __future__ import annotations

import math
from typing import Any

from django import forms

from studio.formfields import JsonText, LengthField, PlainText, RowNumber, Version

_NOT_MARKED = "Mark it on the photograph first."


class Points(JsonText):
    """Points as the script sends them: JSON, [[x, y], …] in the photograph's pixels; None where there are none."""

    def to_python(self, value: Any) -> list[list[float]] | None:  # type: ignore[override]
        if value in self.empty_values:
            return None
        try:
            points = [[float(x), float(y)] for x, y in super().to_python(value)]
        except (forms.ValidationError, ValueError, TypeError, OverflowError):
            raise forms.ValidationError(_NOT_MARKED) from None
        if not all(math.isfinite(one) for point in points for one in point):
            raise forms.ValidationError(_NOT_MARKED)
        return points


class PhotoForm(forms.Form):
    """A new photograph of a wall."""

    picture = forms.FileField(error_messages={"required": "Choose a photograph, or take one."})
    purpose = PlainText(max_length=20, required=False)
    ruler = PlainText(max_length=60, required=False, label="The card's ruler")


class MarkQuery(forms.Form):
    """The mark to show."""

    mark = RowNumber()


class PhotoEditForm(forms.Form):
    """Everything that a change of a photograph may need; each kind of change takes its own."""

    kind = PlainText(max_length=20, required=False)
    artwork = RowNumber()
    mark = RowNumber()
    points = Points(required=False)
    answer = PlainText(max_length=10, required=False)
    taped_width = LengthField(required=False)
    taped_height = LengthField(required=False)
    left = LengthField(zero=True, required=False)
    bottom = LengthField(zero=True, required=False)
    width = LengthField(required=False)
    height = LengthField(required=False)
    ruler = PlainText(max_length=60, required=False, label="The card's ruler")
    space = PlainText(max_length=160, required=False)
    version = Version()
