"""Measures in the API: numbers in mm and kg, or texts that carry their own unit."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from studio import access
from studio.units import BadMeasure, parse_length, parse_weight

_NUMBER_OR_TEXT: dict[str, Any] = {
    "oneOf": [{"type": "number"}, {"type": "string", "maxLength": 60, "examples": ["5' 3 1/2\"", "161 cm"]}]
}


@extend_schema_field(_NUMBER_OR_TEXT)
class Millimetres(serializers.Field):  # type: ignore[type-arg]
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


@extend_schema_field(_NUMBER_OR_TEXT)
class Kilograms(serializers.Field):  # type: ignore[type-arg]
    """A weight in kg; also reads `14 lb`."""

    def to_internal_value(self, data: Any) -> float:
        try:
            return parse_weight(data, "kg")
        except BadMeasure as error:
            raise serializers.ValidationError(str(error), code="measure") from error

    def to_representation(self, value: float) -> float:
        return value


class Mine(serializers.PrimaryKeyRelatedField):  # type: ignore[type-arg]
    """A reference to a row of the caller's own studios; any other does not exist."""

    def get_queryset(self) -> Any:
        queryset = super().get_queryset()
        request = self.context.get("request")
        return access.visible(request.user, queryset) if request is not None else queryset
