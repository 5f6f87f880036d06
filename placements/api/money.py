"""Price lists and estimates. Amounts are text, so that none passes through a float."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import mixins, serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from placements.estimating.lines import Framed, Purchase
from placements.estimating.prices import BY_ID, LONGEST_NAME, Prices, read_amount
from placements.models import Estimate, PriceList, Revision
from placements.services import money
from placements.services.money import LONGEST_NOTE, MOST_PURCHASES, MOST_VISITS
from studio.api.fields import Mine, PlainText, RowSerializer, WholeNumber
from studio.api.views import Scoped
from studio.errors import Invalid
from studio.inputs import LARGEST_VERSION, read_text
from studio.models import Artwork, Studio

from .plans import read

LONGEST_AMOUNT = 40


@extend_schema_field({"type": "string", "maxLength": LONGEST_AMOUNT, "examples": ["12.50"]})
class Amount(serializers.Field):
    """An amount of money or of hours as text."""

    def to_internal_value(self, data: Any) -> Decimal:
        try:
            return read_amount(read_text(data, longest=LONGEST_AMOUNT))
        except Invalid as fault:
            raise serializers.ValidationError(fault.detail, code="amount") from None
        except ValueError as fault:
            raise serializers.ValidationError(str(fault), code="amount") from None

    def to_representation(self, value: Decimal) -> str:
        return str(value)


class PriceListShape(RowSerializer[PriceList]):
    class Meta:
        model = PriceList
        fields = ("id", "studio", "version", "content", "made_by", "created_at")
        read_only_fields = fields


class PricesShape(serializers.Serializer[Any]):
    studio = Mine(queryset=Studio.objects.all(), required=False)
    version = WholeNumber(max_value=LARGEST_VERSION, help_text="The newest that the caller saw; 0 where there is none.")
    currency = PlainText(max_length=3, help_text="ISO 4217, as EUR.")
    framed_by = serializers.ChoiceField(choices=("united_inch", "metre"))
    rates = serializers.DictField(
        child=Amount(), default=dict, help_text="By their names; one left out starts as ours."
    )
    mouldings = serializers.DictField(child=Amount(), help_text="Name to rate by the outline.")

    def validate_rates(self, rates: dict[str, Decimal]) -> dict[str, Decimal]:
        if unknown := sorted(set(rates) - set(BY_ID)):
            raise serializers.ValidationError(f"There is no rate “{unknown[0][:60]}”; there are {', '.join(BY_ID)}.")
        return rates

    def validate_mouldings(self, mouldings: dict[str, Decimal]) -> dict[str, Decimal]:
        name = PlainText(max_length=LONGEST_NAME)
        return {name.run_validation(given): rate for given, rate in mouldings.items()}


class PriceListViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """Every version of a studio's price list, the newest first."""

    rows = PriceList.objects.order_by("studio", "-version")
    serializer_class = PriceListShape
    filterset_fields = ("studio", "version")

    @extend_schema(request=PricesShape, responses={201: PriceListShape})
    def create(self, request: Request) -> Response:
        """Store the next version; refused where somebody stored another since."""
        given = read(PricesShape, request, self)
        row = money.price_list_save(
            by=request.user,
            studio=self.studio_for(given),
            prices=Prices(given["currency"], given["framed_by"], given["rates"], given["mouldings"]),
            based_on=given["version"],
        )
        return Response(PriceListShape(row).data, status=201)


class EstimateShape(RowSerializer[Estimate]):
    total = serializers.CharField(read_only=True)

    class Meta:
        model = Estimate
        fields = (
            *("id", "revision", "version", "price_version", "sha256", "currency", "total", "note", "line_prices"),
            *("made_by", "sent_at", "approved", "answered_at", "answered_by", "answer", "created_at"),
        )
        read_only_fields = fields


class FramedShape(serializers.Serializer[Any]):
    artwork = Mine(queryset=Artwork.objects.all())
    moulding = PlainText(max_length=LONGEST_NAME)
    mat = serializers.BooleanField(default=False)
    glazing = serializers.BooleanField(default=True)


class PurchaseShape(serializers.Serializer[Any]):
    text = PlainText(max_length=200)
    amount = Amount()


class EstimateMakeShape(serializers.Serializer[Any]):
    revision = Mine(queryset=Revision.objects.select_related("plan__project__client__studio"))
    framed = FramedShape(many=True, default=list, max_length=500)
    purchases = PurchaseShape(many=True, default=list, max_length=MOST_PURCHASES)
    visits = WholeNumber(min_value=1, max_value=MOST_VISITS, default=1)
    note = PlainText(max_length=LONGEST_NOTE, default="", allow_blank=True)
    line_prices = serializers.BooleanField(default=True)


class EstimateViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """What plans were estimated to cost, frozen with the prices of their day."""

    rows = Estimate.objects.order_by("-created_at", "-pk")
    serializer_class = EstimateShape
    filterset_fields = {"revision": ["exact"], "revision__plan__project": ["exact"], "approved": ["exact", "isnull"]}

    @extend_schema(request=EstimateMakeShape, responses={201: EstimateShape})
    def create(self, request: Request) -> Response:
        """Estimate a revision as it hangs, by the studio's newest prices."""
        given = read(EstimateMakeShape, request, self)
        framed = {one["artwork"].pk: Framed(one["moulding"], one["mat"], one["glazing"]) for one in given.pop("framed")}
        purchases = [Purchase(**one) for one in given.pop("purchases")]
        row = money.estimate_make(by=request.user, framed=framed, purchases=purchases, **given)
        return Response(EstimateShape(row).data, status=201)

    @extend_schema(responses={(200, "application/json"): OpenApiTypes.OBJECT})
    @action(detail=True)
    def lines(self, request: Request, pk: str) -> Response:
        """What was frozen: lines by room, wall and piece, sums, taxes, hours."""
        return Response(self.get_object().told)

    @extend_schema(request=None, responses=EstimateShape)
    @action(detail=True, methods=["post"])
    def show(self, request: Request, pk: str) -> Response:
        """Show it at the project's client links; one shown before is shown no more."""
        return Response(EstimateShape(money.estimate_show(by=request.user, estimate=self.get_object())).data)
