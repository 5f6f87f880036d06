"""Ways to hang a wall that are kept by name."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework import mixins
from rest_framework.request import Request
from rest_framework.response import Response

from placements.models import Option
from placements.services import options
from studio.api.views import Scoped

from . import shapes
from .plans import read


class OptionViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """Options kept for walls, to compare. None hangs anything: put its pieces and bares to the wall for that."""

    rows = Option.objects.select_related("wall__room__project__client__studio").order_by("wall", "created_at", "pk")
    serializer_class = shapes.OptionShape
    filterset_fields = ("wall", "wall__room__project", "kept_by")

    @extend_schema(request=shapes.OptionKeepShape, responses={201: shapes.OptionShape})
    def create(self, request: Request) -> Response:
        """Keep a way to hang a wall under a name that the wall has not used yet."""
        given = read(shapes.OptionKeepShape, request, self)
        arrangement = {
            "pieces": given["pieces"],
            "bares": [[one["space"], one["reason"]] for one in given["bares"]],
        }
        kept = options.option_keep(by=request.user, wall=given["wall"], name=given["name"], arrangement=arrangement)
        return Response(shapes.OptionShape(kept).data, status=201)

    def destroy(self, request: Request, pk: str | None = None) -> Response:
        """Drop an option; the wall stays as it hangs."""
        options.option_drop(by=request.user, option=self.get_object())
        return Response(status=204)
