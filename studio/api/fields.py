"""The API's fields: text, numbers and times by `studio.inputs`; measures as numbers in mm and kg, or texts that carry
their own unit; references to rows of the caller's own studios."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any, ClassVar, TypeVar

from django.db import models
from drf_spectacular.extensions import OpenApiSerializerFieldExtension
from rest_framework import serializers

from studio import access
from studio.errors import Invalid
from studio.inputs import FIRST_DAY, LARGEST_ROW, LARGEST_VERSION, LAST_DAY, read_text, read_whole
from studio.units import HEAVIEST_KG, LONGEST_MM, BadMeasure, parse_length, parse_weight

#: Texts that are read whatever field they are for; more are, as feet and inches with any fraction.
_LENGTH = r"^[1-9][0-9]{0,2}(\.[0-9]{1,3}| (1/2|[13]/4|[1357]/8))? ?(mm|in)$|^[1-9][0-9]{0,2}(\.[0-9])? ?cm$"
_FEET = r"^[1-9][0-9]?' ?([0-9]|1[01])( (1/2|[13]/4|[1357]/8))?\"$"
_WEIGHT = r"^[1-9][0-9]{0,2}(\.[0-9]{1,3})? ?(kg|lb)$"


def measure_schema(most: float, texts: str, *, zero: bool = False) -> dict[str, Any]:
    """A measure that is sent: a number up to `most`, above nought or from it, or a text with a unit."""
    least = {"minimum": 0} if zero else {"exclusiveMinimum": 0}
    return {"oneOf": [{"type": "number", "maximum": most, **least}, {"type": "string", "pattern": texts}]}


def length_schema(*, zero: bool) -> dict[str, Any]:
    return measure_schema(LONGEST_MM, f"{_LENGTH}|{_FEET}", zero=zero)


def weight_schema() -> dict[str, Any]:
    return measure_schema(HEAVIEST_KG, _WEIGHT)


Row = TypeVar("Row", bound=models.Model)

#: The most characters of a text whose column sets no length.
LONGEST_TEXT = 4000


class PlainText(serializers.CharField):
    """Text of at most `max_length` characters; what is only shown has no end."""

    def __init__(self, *, max_length: int | None = None, **kwargs: Any) -> None:
        self.longest = max_length or LONGEST_TEXT
        super().__init__(max_length=None if kwargs.get("read_only") else self.longest, **kwargs)

    def to_internal_value(self, data: Any) -> str:
        try:
            return read_text(super().to_internal_value(data), longest=self.longest)
        except Invalid as fault:
            raise serializers.ValidationError(fault.detail, code="invalid") from None


class WholeNumber(serializers.IntegerField):
    """A whole number of at least `min_value`, and at most `max_value`: without them nought up to a row's number."""

    def __init__(self, *, min_value: int = 0, max_value: int = LARGEST_ROW, **kwargs: Any) -> None:
        super().__init__(min_value=min_value, max_value=max_value, **kwargs)

    def to_internal_value(self, data: Any) -> int:
        least, most = self.min_value or 0, self.max_value or LARGEST_ROW
        try:
            return read_whole(data, least=int(least), most=int(most))
        except Invalid as fault:
            raise serializers.ValidationError(fault.detail, code="invalid") from None


class Version(WholeNumber):
    """The version of a row that the caller saw."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"min_value": 1, "max_value": LARGEST_VERSION, **kwargs})


class Number(serializers.FloatField):
    """A number that is one: neither infinite nor undefined."""

    def to_internal_value(self, data: Any) -> float:
        number: float = super().to_internal_value(data)
        if not math.isfinite(number):
            self.fail("invalid")
        return number


class Moment(serializers.DateTimeField):
    """A moment that every time zone can show."""

    def to_internal_value(self, value: Any) -> dt.datetime:
        moment: dt.datetime = super().to_internal_value(value)
        if not FIRST_DAY <= moment.date() <= LAST_DAY:
            raise serializers.ValidationError(f"Expected a day of the years {FIRST_DAY.year} to {LAST_DAY.year}.")
        return moment


class Day(serializers.DateField):
    """A day that every calendar can show, as 2027-03-01."""

    def to_internal_value(self, value: Any) -> dt.date:
        day: dt.date = super().to_internal_value(value)
        if not FIRST_DAY <= day <= LAST_DAY:
            raise serializers.ValidationError(f"Expected a day of the years {FIRST_DAY.year} to {LAST_DAY.year}.")
        return day


class RowSerializer(serializers.ModelSerializer[Row]):
    """A model's serializer whose fields are the ones above."""

    serializer_field_mapping: ClassVar[dict[Any, Any]] = {
        **serializers.ModelSerializer.serializer_field_mapping,
        models.CharField: PlainText,
        models.TextField: PlainText,
        models.FloatField: Number,
        models.DateTimeField: Moment,
        **dict.fromkeys((models.IntegerField, models.PositiveIntegerField, models.BigIntegerField), WholeNumber),
        **dict.fromkeys((models.SmallIntegerField, models.PositiveSmallIntegerField), WholeNumber),
    }


class Millimetres(serializers.Field):
    """A length in mm; also reads `63 in`, `5' 3 1/2"`, `161 cm`."""

    def __init__(self, *, zero: bool = False, **kwargs: Any) -> None:
        self.zero = zero
        super().__init__(**kwargs)

    def to_internal_value(self, data: Any) -> float:
        try:
            return parse_length(data, "mm", zero=self.zero)
        except BadMeasure as error:
            raise serializers.ValidationError(str(error), code="measure") from error

    def to_representation(self, value: float) -> float:
        return value


class Kilograms(serializers.Field):
    """A weight in kg; also reads `14 lb`."""

    def to_internal_value(self, data: Any) -> float:
        try:
            return parse_weight(data, "kg")
        except BadMeasure as error:
            raise serializers.ValidationError(str(error), code="measure") from error

    def to_representation(self, value: float) -> float:
        return value


class Mine(serializers.PrimaryKeyRelatedField):
    """A reference to a row of the caller's own studios; any other does not exist."""

    def get_queryset(self) -> Any:
        queryset = super().get_queryset()
        request = self.context.get("request")
        return access.visible(request.user, queryset) if request is not None else queryset

    def to_internal_value(self, data: Any) -> Any:
        try:
            return super().to_internal_value(read_whole(data, least=1))
        except Invalid as fault:
            raise serializers.ValidationError(fault.detail, code="incorrect_type") from None


# --- How the published description says it ----------------------------------------------------------------------------


class _Length(OpenApiSerializerFieldExtension):  # type: ignore[no-untyped-call]
    """What is sent may carry a unit; what is answered is a number."""

    target_class = "studio.api.fields.Millimetres"

    def map_serializer_field(self, auto_schema: Any, direction: str) -> dict[str, Any]:
        return length_schema(zero=self.target.zero) if direction == "request" else {"type": "number"}


class _Weight(OpenApiSerializerFieldExtension):  # type: ignore[no-untyped-call]
    target_class = "studio.api.fields.Kilograms"

    def map_serializer_field(self, auto_schema: Any, direction: str) -> dict[str, Any]:
        return weight_schema() if direction == "request" else {"type": "number"}


class _Mine(OpenApiSerializerFieldExtension):  # type: ignore[no-untyped-call]
    target_class = "studio.api.fields.Mine"

    def map_serializer_field(self, auto_schema: Any, direction: str) -> dict[str, Any]:
        return {"type": "integer", "minimum": 1, "maximum": LARGEST_ROW}
