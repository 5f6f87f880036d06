"""The operations: find through `studio.access`, check the shape, call a service."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Any, ClassVar

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import mixins, status, viewsets
from rest_framework.decorators import action
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from studio import access
from studio.crops import Crop
from studio.errors import Invalid
from studio.filters import ArtworkFilter
from studio.models import Artwork, Client, Membership, Project, Role, Room, Studio, Wall, WallItem
from studio.services import art, clients, people, pictures, rooms
from studio.weighty import weighty

from . import serializers as shapes


class Scoped(viewsets.GenericViewSet[Any]):
    """Every object of every operation comes from the caller's own studios."""

    rows: ClassVar[Any]
    lookup_value_regex = "[0-9]{1,18}"

    def get_queryset(self) -> QuerySet[Any]:
        return access.visible(self.request.user, self.rows.all())

    def studio_for(self, given: dict[str, Any]) -> Studio:
        """The studio that a new object goes to: the one named, else the caller's only one."""
        named: Studio | None = given.pop("studio", None)
        if named is not None:
            return named
        mine = list(access.visible(self.request.user, Studio)[:2])
        if len(mine) != 1:
            raise Invalid("Say which studio this is for.", faults=[{"where": "studio", "detail": "is needed"}])
        return mine[0]


class Writable(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped, ABC):
    """create and update by two small methods that call services."""

    @abstractmethod
    def make(self, given: dict[str, Any]) -> Any: ...

    @abstractmethod
    def change(self, row: Any, given: dict[str, Any]) -> Any: ...

    def create(self, request: Request) -> Response:
        row = self.make(self._read(request))
        return Response(self._shown(row.pk), status=status.HTTP_201_CREATED)

    def update(self, request: Request, pk: str | None = None) -> Response:
        row = self.get_object()
        self.change(row, self._read(request, row))
        return Response(self._shown(row.pk))

    def partial_update(self, request: Request, pk: str | None = None) -> Response:
        row = self.get_object()
        self.change(row, self._read(request, row, partial=True))
        return Response(self._shown(row.pk))

    def _read(self, request: Request, row: Any = None, partial: bool = False) -> dict[str, Any]:
        serializer = self.get_serializer(row, data=request.data, partial=partial)
        serializer.is_valid(raise_exception=True)
        return dict(serializer.validated_data)

    def _shown(self, pk: int) -> Any:
        return self.get_serializer(self.get_queryset().get(pk=pk)).data


class Removable(Writable):
    """destroy, too."""

    @abstractmethod
    def remove(self, row: Any) -> None: ...

    def destroy(self, request: Request, pk: str | None = None) -> Response:
        self.remove(self.get_object())
        return Response(status=status.HTTP_204_NO_CONTENT)


class StudioViewSet(mixins.ListModelMixin, Scoped):
    rows = Studio.objects.order_by("name", "pk")
    serializer_class = shapes.StudioSerializer

    def get_queryset(self) -> QuerySet[Any]:
        own = Membership.objects.filter(user=self.request.user.pk)
        return super().get_queryset().prefetch_related(Prefetch("memberships", queryset=own))


def names_principal(request: Request) -> bool:
    return isinstance(request.data, dict) and request.data.get("role") == Role.PRINCIPAL


class MembershipViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, Scoped):
    """The studio's members. People join by invitation."""

    rows = Membership.objects.select_related("user").order_by("studio", "user__name", "pk")
    serializer_class = shapes.MembershipSerializer
    filterset_fields = ("studio", "role")

    @weighty(when=names_principal)
    def partial_update(self, request: Request, pk: str | None = None) -> Response:
        membership = self.get_object()
        serializer = self.get_serializer(membership, data=request.data, partial=True)
        serializer.is_valid(raise_exception=True)
        if "role" in serializer.validated_data:
            people.membership_role(by=request.user, membership=membership, role=serializer.validated_data["role"])
        return Response(self.get_serializer(self.get_queryset().get(pk=membership.pk)).data)

    def destroy(self, request: Request, pk: str | None = None) -> Response:
        people.membership_end(by=request.user, membership=self.get_object())
        return Response(status=status.HTTP_204_NO_CONTENT)


class ClientViewSet(Removable):
    rows = Client.objects.order_by("name", "pk")
    serializer_class = shapes.ClientSerializer
    filterset_fields = ("studio", "name")
    search_fields = ("name", "email")

    def make(self, given: dict[str, Any]) -> Client:
        return clients.client_create(by=self.request.user, studio=self.studio_for(given), **given)

    def change(self, row: Client, given: dict[str, Any]) -> None:
        given.pop("studio", None)
        clients.client_update(by=self.request.user, client=row, **given)

    def remove(self, row: Client) -> None:
        clients.client_delete(by=self.request.user, client=row)


class ProjectViewSet(Writable):
    rows = Project.objects.select_related("client").order_by("name", "pk")
    serializer_class = shapes.ProjectSerializer
    filterset_fields = ("client", "client__studio", "name")
    search_fields = ("name", "client__name")

    def make(self, given: dict[str, Any]) -> Project:
        return clients.project_create(by=self.request.user, **given)

    def change(self, row: Project, given: dict[str, Any]) -> None:
        given.pop("client", None)
        clients.project_update(by=self.request.user, project=row, **given)


class RoomViewSet(Removable):
    rows = Room.objects.order_by("project", "position", "pk")
    serializer_class = shapes.RoomSerializer
    filterset_fields = ("project", "use")
    search_fields = ("name",)

    def make(self, given: dict[str, Any]) -> Room:
        return rooms.room_create(by=self.request.user, **_without(given, "position"))

    def change(self, row: Room, given: dict[str, Any]) -> None:
        rooms.room_update(by=self.request.user, room=row, **_without(given, "project", "code"))

    def remove(self, row: Room) -> None:
        rooms.room_delete(by=self.request.user, room=row)


class WallViewSet(Removable):
    rows = Wall.objects.select_related("room").prefetch_related("items").order_by("room", "position", "pk")
    serializer_class = shapes.WallSerializer
    filterset_fields = ("room", "room__project", "build", "finish")
    search_fields = ("name",)

    def make(self, given: dict[str, Any]) -> Wall:
        return rooms.wall_create(by=self.request.user, **_without(given, "version", "position"))

    def change(self, row: Wall, given: dict[str, Any]) -> None:
        version = given.pop("version", None)
        rooms.wall_update(by=self.request.user, wall=row, version=version, **_without(given, "room", "code"))

    def remove(self, row: Wall) -> None:
        rooms.wall_delete(by=self.request.user, wall=row)


class ItemViewSet(Removable):
    """The items of a wall: openings, furniture, lights, services."""

    rows = WallItem.objects.select_related("wall").order_by("wall", "left_mm", "pk")
    serializer_class = shapes.ItemSerializer
    filterset_fields = ("wall", "wall__room__project", "kind")

    def make(self, given: dict[str, Any]) -> WallItem:
        return rooms.item_create(by=self.request.user, version=given.pop("wall_version", None), **given)

    def change(self, row: WallItem, given: dict[str, Any]) -> None:
        version = given.pop("wall_version", None)
        rooms.item_update(by=self.request.user, item=row, version=version, **_without(given, "wall", "code"))

    def remove(self, row: WallItem) -> None:
        rooms.item_delete(by=self.request.user, item=row, version=None)


class ArtworkViewSet(Removable):
    rows = Artwork.objects.order_by("title", "pk")
    serializer_class = shapes.ArtworkSerializer
    filterset_class = ArtworkFilter
    ordering_fields = ("title", "maker", "width_mm", "height_mm", "weight_kg", "created_at")

    def make(self, given: dict[str, Any]) -> Artwork:
        given.pop("version", None)
        if given.get("project") is not None:
            given.pop("studio", None)
            studio = given["project"].client.studio
        elif given.get("client") is not None:
            given.pop("studio", None)
            studio = given["client"].studio
        else:
            studio = self.studio_for(given)
        return art.artwork_create(by=self.request.user, studio=studio, **given)

    def change(self, row: Artwork, given: dict[str, Any]) -> None:
        version = given.pop("version", None)
        art.artwork_update(by=self.request.user, artwork=row, version=version, **_without(given, "studio", "code"))

    def remove(self, row: Artwork) -> None:
        art.artwork_delete(by=self.request.user, artwork=row)

    @extend_schema(request={"multipart/form-data": shapes.PictureSerializer}, responses=shapes.ArtworkSerializer)
    @action(detail=True, methods=["put"], parser_classes=[MultiPartParser])
    def picture(self, request: Request, pk: str | None = None) -> Response:
        """Give a piece its picture: JPEG, PNG, WebP, TIFF or HEIC, turned, cut and straightened as asked."""
        artwork = self.get_object()
        serializer = shapes.PictureSerializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        given = dict(serializer.validated_data)
        upload = given.pop("picture")
        content = upload.read(pictures.MAX_BYTES + 1)
        pictures.picture_upload(by=request.user, artwork=artwork, content=content, crop=Crop(**given))
        return Response(self._shown(artwork.pk))

    @extend_schema(
        request=shapes.BulkSerializer,
        responses={200: OpenApiResponse({"type": "object", "properties": {"changed": {"type": "integer"}}})},
    )
    @action(detail=False, methods=["post"], filterset_class=None, pagination_class=None)
    def bulk(self, request: Request) -> Response:
        """Make the same change to many pieces, all or none."""
        serializer = shapes.BulkSerializer(data=request.data, context=self.get_serializer_context())
        serializer.is_valid(raise_exception=True)
        given = dict(serializer.validated_data)
        ids = given.pop("ids")
        studio = self.studio_for(given)
        if not given:
            raise Invalid("Say what to change.", faults=[{"where": "", "detail": "name at least one field"}])
        changed = art.artworks_update(by=request.user, studio=studio, pks=ids, **given)
        return Response({"changed": changed})


def _without(given: dict[str, Any], *names: str) -> dict[str, Any]:
    """What may be changed: an object keeps its place and its code."""
    return {name: value for name, value in given.items() if name not in names}
