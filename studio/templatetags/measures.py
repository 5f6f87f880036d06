"""Measures in a page, in its reader's units: the context's `units`, a `studio.units.Units`.

{% load measures %}
{% length wall.length_mm %}      14′ 0″
{% size art.width_mm art.height_mm %}      56 × 40″
{% weight art.weight_kg %}       14 lb; a dash where it is not known
{{ wall.length_mm|length_in:units }}
"""

from __future__ import annotations

from typing import Any

from django import template

from studio.units import Units

register = template.Library()

UNKNOWN = "—"


def _units(context: template.Context) -> Units:
    units = context.get("units")
    return units if isinstance(units, Units) else Units()


@register.simple_tag(takes_context=True)
def length(context: template.Context, mm: float | None) -> str:
    return UNKNOWN if mm is None else _units(context).length(mm)


@register.simple_tag(takes_context=True)
def band(context: template.Context, low_mm: float, high_mm: float) -> str:
    return _units(context).band(low_mm, high_mm)


@register.simple_tag(takes_context=True)
def size(context: template.Context, width_mm: float | None, height_mm: float | None) -> str:
    if width_mm is None or height_mm is None:
        return UNKNOWN
    return _units(context).size(width_mm, height_mm)


@register.simple_tag(takes_context=True)
def weight(context: template.Context, kg: float | None) -> str:
    return UNKNOWN if kg is None else _units(context).weight(kg)


@register.simple_tag(takes_context=True)
def typed_length(context: template.Context, mm: float | None) -> str:
    """The length as one types it, for an input's value."""
    return "" if mm is None else _units(context).typed(mm)


@register.filter
def length_in(mm: float | None, units: Any) -> str:
    """For places without the page's context, such as an included fragment."""
    return UNKNOWN if mm is None else (units if isinstance(units, Units) else Units()).length(mm)
