"""How art is looked for: the same questions on the page and in the API."""

from __future__ import annotations

from typing import Any

import django_filters as filters
from django import forms
from django.db.models import Exists, F, OuterRef, Q, QuerySet

from studio import access
from studio.formfields import LengthField, use_units
from studio.hues import HUES
from studio.models import Artwork, Client, Form, Project
from studio.units import Units

ORIENTATIONS = (("landscape", "Landscape"), ("portrait", "Portrait"), ("square", "Square"))
#: A piece is square when its longer side is at most this many times its shorter one.
SQUARE_TO = 1.05


class YesNoFilter(filters.BooleanFilter):
    """Yes, no, or not asked."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.Select(choices=[("", "Any"), ("true", "Yes"), ("false", "No")]))
        super().__init__(*args, **kwargs)


class LengthFilter(filters.Filter):
    """A length: mm in the API, the reader's unit on a page."""

    field_class = LengthField


class ArtworkFilter(filters.FilterSet):
    q = filters.CharFilter(method="search", label="Words")
    form = filters.MultipleChoiceFilter(choices=Form.choices)
    orientation = filters.ChoiceFilter(choices=ORIENTATIONS, method="by_orientation", empty_label="Any")
    hue = filters.ChoiceFilter(
        choices=[(hue, hue.capitalize()) for hue in HUES], method="by_hue", label="Colour", empty_label="Any"
    )
    theme = filters.CharFilter(method="by_theme", label="Theme")
    frame = filters.CharFilter(lookup_expr="iexact")
    set_name = filters.CharFilter(lookup_expr="iexact", label="Set")
    client = filters.ModelChoiceFilter(queryset=lambda request: _mine(request, Client), empty_label="Any")
    project = filters.ModelChoiceFilter(queryset=lambda request: _mine(request, Project), empty_label="Any")
    stock = YesNoFilter(field_name="client", lookup_expr="isnull", label="Studio's own")
    placed = YesNoFilter(method="by_placed", label="In a plan")
    width_min = LengthFilter(field_name="width_mm", lookup_expr="gte", label="Width from")
    width_max = LengthFilter(field_name="width_mm", lookup_expr="lte", label="to")
    height_min = LengthFilter(field_name="height_mm", lookup_expr="gte", label="Height from")
    height_max = LengthFilter(field_name="height_mm", lookup_expr="lte", label="to")
    unmeasured = YesNoFilter(method="by_unmeasured", label="Weight or hardware not known")

    class Meta:
        model = Artwork
        fields: list[str] = []

    def __init__(self, *args: Any, units: Units | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        use_units(self.form, units or Units("mm"))

    def search(self, queryset: QuerySet[Artwork], name: str, value: str) -> QuerySet[Artwork]:
        for word in value.split()[:8]:
            queryset = queryset.filter(
                Q(title__icontains=word)
                | Q(maker__icontains=word)
                | Q(code__icontains=word)
                | Q(storage__icontains=word)
                | Q(set_name__icontains=word)
            )
        return queryset

    def by_orientation(self, queryset: QuerySet[Artwork], name: str, value: str) -> QuerySet[Artwork]:
        wide, high = F("width_mm"), F("height_mm")
        if value == "landscape":
            return queryset.filter(width_mm__gt=high * SQUARE_TO)
        if value == "portrait":
            return queryset.filter(height_mm__gt=wide * SQUARE_TO)
        return queryset.filter(width_mm__lte=high * SQUARE_TO, height_mm__lte=wide * SQUARE_TO)

    def by_hue(self, queryset: QuerySet[Artwork], name: str, value: str) -> QuerySet[Artwork]:
        return queryset.filter(hues__contains=f",{value},")

    def by_theme(self, queryset: QuerySet[Artwork], name: str, value: str) -> QuerySet[Artwork]:
        return queryset.filter(themes__icontains=f'"{value.strip()}"') if value.strip() else queryset

    def by_placed(self, queryset: QuerySet[Artwork], name: str, value: bool) -> QuerySet[Artwork]:
        return queryset.filter(in_plan() if value else ~in_plan())

    def by_unmeasured(self, queryset: QuerySet[Artwork], name: str, value: bool) -> QuerySet[Artwork]:
        unknown = Q(weight_kg__isnull=True) | Q(hang_kind="")
        return queryset.filter(unknown if value else ~unknown)


def in_plan() -> Exists:
    """Whether a piece hangs in the newest revision of some plan."""
    placement = Artwork._meta.get_field("placements").related_model
    newest = placement._default_manager.filter(artwork=OuterRef("pk")).exclude(
        revision__plan__revisions__number__gt=F("revision__number")
    )
    return Exists(newest)


def _mine(request: Any, model: Any) -> QuerySet[Any]:
    return access.visible(request.user, model) if request is not None else model.objects.none()
