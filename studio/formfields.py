"""Form fields: text, whole numbers, days and JSON by `studio.inputs`; measures typed in any unit, kept in mm and kg."""

from __future__ import annotations

import datetime as dt
from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Model, QuerySet
from django.forms.utils import flatatt
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from studio.errors import Invalid
from studio.inputs import LARGEST_ROW, LARGEST_VERSION, read_day, read_json, read_text, read_whole
from studio.units import LENGTH_EXAMPLES, LONGEST_MM, WEIGHT_EXAMPLES, BadMeasure, Units, parse_length

Read = TypeVar("Read")
Row = TypeVar("Row", bound=Model)
SELECTED = mark_safe(" selected")


def offer(form: forms.BaseForm, name: str, rows: QuerySet[Row], label: Callable[[Row], str] | None = None) -> None:
    """Let a form's field choose among rows, each named by `label` where it is given."""
    field = form.fields[name]
    assert isinstance(field, forms.ModelChoiceField)
    field.queryset = rows
    if label is not None:
        field.label_from_instance = label  # type: ignore[assignment]


def _read(reader: Callable[[], Read]) -> Read:
    """What a reader reads, with its refusal as the form's."""
    try:
        return reader()
    except Invalid as fault:
        raise ValidationError(fault.detail, code="invalid") from None


class PlainText(forms.CharField):
    """Text of at most `max_length` characters."""

    def __init__(self, *, max_length: int, **kwargs: Any) -> None:
        super().__init__(max_length=max_length, **kwargs)

    def to_python(self, value: Any) -> str:
        if value in self.empty_values:
            return ""
        longest: int = self.max_length  # type: ignore[assignment]
        return _read(lambda: read_text(value, longest=longest, strip=self.strip))


class WholeNumber(forms.IntegerField):
    """A whole number from `least` to `most`; None where it may be left out and is."""

    def __init__(self, *, least: int = 0, most: int = LARGEST_ROW, **kwargs: Any) -> None:
        self.least, self.most = least, most
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> int | None:
        if value in self.empty_values:
            return None
        return _read(lambda: read_whole(value, least=self.least, most=self.most))


class RowNumber(WholeNumber):
    """A row's number, or none."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"required": False, "least": 1, "widget": forms.HiddenInput, **kwargs})


class Version(RowNumber):
    """The version of a row that the reader saw, or none."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(most=LARGEST_VERSION, **kwargs)


class RowNumbers(forms.Field):
    """The numbers of rows, as boxes that were ticked send them."""

    widget = forms.MultipleHiddenInput

    def __init__(self, *, most: int = 2000, **kwargs: Any) -> None:
        self.most = most
        super().__init__(**{"required": False, **kwargs})

    def to_python(self, value: Any) -> list[int]:
        if len(value or ()) > self.most:
            raise ValidationError(f"Choose at most {self.most} at a time.", code="invalid")
        return [_read(lambda one=one: read_whole(one, least=1)) for one in value or ()]  # type: ignore[misc]


class Ticked(forms.BooleanField):
    """Whether a field was sent at all, whatever it holds: a button that was pressed, a box that was ticked."""

    class widget(forms.CheckboxInput):
        def value_from_datadict(self, data: Any, files: Any, name: str) -> bool:
            return name in data

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"required": False, **kwargs})


class LongSelect(forms.Select):
    """A choice of hundreds, written at once: a template for each option would take a quarter of a second."""

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        chosen = self.format_value(value)
        options = format_html_join(
            "\n",
            '<option value="{}"{}>{}</option>',
            ((key, SELECTED if str(key) in chosen else "", label) for key, label in self.choices),
        )
        return format_html("<select{}>{}</select>", flatatt({**self.attrs, **(attrs or {}), "name": name}), options)


class Day(forms.DateField):
    """A day, written as 2026-03-31."""

    def to_python(self, value: Any) -> dt.date | None:
        if value in self.empty_values or isinstance(value, dt.date):
            return value or None
        return _read(lambda: read_day(value))


class JsonText(forms.CharField):
    """A JSON document that a script sends."""

    widget = forms.HiddenInput

    def to_python(self, value: Any) -> Any:
        return None if value in self.empty_values else _read(lambda: read_json(value))


class MeasureField(forms.CharField, ABC):
    """A measure typed as text. `units` is the reader's; a form sets it on its fields before it is shown or read."""

    examples: str
    #: What is stored: a text that reads as it does is it, exactly, so that a form sent back unchanged changes nothing.
    exact: Any = None

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
        if value in self.empty_values:
            return None
        longest: int = self.max_length  # type: ignore[assignment]
        try:
            found = self.read(_read(lambda: read_text(value, longest=longest)))
            return self.exact if self._is_exact(found) else found
        except BadMeasure as error:
            raise ValidationError(f"Expected {error.expected}; found “{error.found}”.", code="measure") from error

    def _is_exact(self, found: float) -> bool:
        """Whether this is what the field showed of what is stored."""
        if not isinstance(self.exact, int | float) or isinstance(self.exact, bool):
            return False
        try:
            return abs(self.read(self.set(self.exact)) - found) < 0.005
        except BadMeasure:
            return False

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
        """As a drawing says it: to the nearest 1/16 in or 1 mm."""
        return self.units.typed(self.units.rounded(value))


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
        return self.units.typed(self.units.rounded(value))

    def to_python(self, value: Any) -> list[list[float]]:  # type: ignore[override]
        if self.exact and value == self.prepare_value(self.exact):
            return list(self.exact)
        longest: int = self.max_length  # type: ignore[assignment]
        text = _read(lambda: read_text(value or "", longest=longest))
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
    """Give every measure of a form its reader's units, and what is stored of it."""
    for name, field in form.fields.items():
        if isinstance(field, MeasureField):
            field.units, field.exact = units, form.initial.get(name)
