"""Form fields for measures: typed in any unit, kept in mm and kg."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from studio.units import LENGTH_EXAMPLES, LONGEST_MM, WEIGHT_EXAMPLES, BadMeasure, Units, parse_length


class MeasureField(forms.CharField, ABC):
    """A measure typed as text. `units` is the reader's; a form sets it on its fields before it is shown or read."""

    examples: str

    def __init__(self, *, units: Units | None = None, **kwargs: Any) -> None:
        self.units = units or Units()
        kwargs.setdefault("max_length", 60)
        super().__init__(**kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {
            **super().widget_attrs(widget),
            "autocomplete": "off",
            "inputmode": "text",
            "spellcheck": "false",
            "data-measure": "",
        }

    @abstractmethod
    def read(self, text: str) -> float:
        """What was typed [mm or kg]; raises `BadMeasure`."""

    @abstractmethod
    def set(self, value: float) -> str:
        """The measure as one would type it."""

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]
        text = super().to_python(value)
        if text in self.empty_values:
            return None
        try:
            return self.read(text)
        except BadMeasure as error:
            raise ValidationError(f"Expected {error.expected}; found “{error.found}”.", code="measure") from error

    def run_validators(self, value: Any) -> None:
        """The number is checked as it is read; the text validators of the base class do not apply to it."""

    def prepare_value(self, value: Any) -> Any:
        return self.set(value) if isinstance(value, int | float) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Whether the length itself changed: the same length in other words is no change."""
        try:
            now = self.to_python(data)
        except ValidationError:
            return True
        if initial is None or now is None:
            return (initial is None) != (now is None)
        return abs(float(initial) - now) > 0.01


class LengthField(MeasureField):
    """A length [mm]. `zero` and `negative` say whether it may be a place at or beyond the wall's end."""

    examples = LENGTH_EXAMPLES

    def __init__(
        self, *, zero: bool = False, negative: bool = False, longest_mm: float = LONGEST_MM, **kwargs: Any
    ) -> None:
        self.zero, self.negative, self.longest_mm = zero, negative, longest_mm
        super().__init__(**kwargs)

    def read(self, text: str) -> float:
        return parse_length(text, self.units.unit, zero=self.zero, negative=self.negative, longest_mm=self.longest_mm)

    def set(self, value: float) -> str:
        return self.units.typed(value)


class LineField(MeasureField):
    """A line of points, each typed along / up, with semicolons between [mm].

    Reads to [[along, up], …]; to an empty list where nothing is typed.
    """

    examples = "0 / 4'; 5' / 9'"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=400, empty_value="", **kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {name: value for name, value in super().widget_attrs(widget).items() if name != "data-measure"}

    def read(self, text: str) -> float:
        return parse_length(text, self.units.unit, zero=True)

    def set(self, value: float) -> str:
        return self.units.typed(value)

    def to_python(self, value: Any) -> list[list[float]]:  # type: ignore[override]
        text = forms.CharField.to_python(self, value)
        points = []
        for part in filter(None, (one.strip() for one in text.split(";"))):
            along, slash, up = part.partition("/ ")
            if not slash:
                raise ValidationError(f"Expected along / up, such as 5' / 9'; found “{part[:40]}”.", code="measure")
            try:
                points.append([self.read(along.strip()), self.read(up.strip())])
            except BadMeasure as error:
                raise ValidationError(f"Expected {error.expected}; found “{error.found}”.", code="measure") from error
        return points

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, list):
            return value
        return "; ".join(f"{self.set(along)} / {self.set(up)}" for along, up in value)

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            return bool((initial or []) != self.to_python(data))
        except ValidationError:
            return True


class WeightField(MeasureField):
    """A weight [kg]."""

    examples = WEIGHT_EXAMPLES

    def read(self, text: str) -> float:
        return self.units.parse_weight(text)

    def set(self, value: float) -> str:
        return self.units.typed_weight(value)


def use_units(form: forms.BaseForm, units: Units) -> None:
    """Give every measure of a form its reader's units."""
    for field in form.fields.values():
        if isinstance(field, MeasureField):
            field.units = units
