"""What the API shows and takes of photographs that measure. Lengths in mm, points in the photograph's pixels."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.reverse import reverse

from placements.models import MarkState, Photo, PhotoMark, PhotoPurpose, Revision
from placements.photogrammetry.errors import reworded
from placements.services.photos.marks import MARK_KINDS
from studio.api.fields import Millimetres, Mine, Number, PlainText, RowSerializer, Version
from studio.models import Artwork, Wall
from studio.reader import units_for

from ..shapes import VERSION_HELP

CORNERS_HELP = "Four [x, y] in px, in order around: top left, top right, bottom right, bottom left."


def point(**options: Any) -> serializers.ListField:
    """One [x, y] in px."""
    return serializers.ListField(child=Number(), min_length=2, max_length=2, **options)


def corners(**options: Any) -> serializers.ListField:
    return serializers.ListField(child=point(), min_length=4, max_length=4, help_text=CORNERS_HELP, **options)


class PhotoShape(RowSerializer[Photo]):
    project = serializers.IntegerField(source="wall.room.project_id", read_only=True)
    error = serializers.SerializerMethodField(help_text="Why it could not be measured, and what to do.")
    picture = serializers.SerializerMethodField(help_text="Address of the photograph as stored.")
    shown = serializers.SerializerMethodField(help_text="Address of the one with works set into it; null without one.")
    reference = serializers.JSONField(read_only=True)
    level = serializers.JSONField(read_only=True, help_text="Where the wall is, as set, and what follows from it.")

    class Meta:
        model = Photo
        fields = (
            *("id", "project", "wall", "purpose", "width_px", "height_px", "taken_by", "reference", "ruler_mm"),
            *("state", "progress", "error", "attempts", "misfit_px", "level", "picture", "shown", "created_at"),
            *("for_client", "finished_at"),
        )
        read_only_fields = fields

    def get_error(self, photo: Photo) -> str:
        return reworded(photo.error, units_for(self.context["request"].user, photo.wall.room.project))

    def get_picture(self, photo: Photo) -> str:
        return str(reverse("api-photo-picture", args=[photo.pk]))

    def get_shown(self, photo: Photo) -> str | None:
        return str(reverse("api-photo-shown", args=[photo.pk])) if photo.shown else None


class PhotoAddShape(serializers.Serializer[Any]):
    wall = Mine(queryset=Wall.objects.select_related("room__project__client__studio"))
    purpose = serializers.ChoiceField(PhotoPurpose.choices)
    picture = serializers.FileField(help_text="As taken: JPEG, PNG, WebP, TIFF or HEIC.")
    ruler_mm = Millimetres(required=False, allow_null=True, help_text="The card's 100 mm ruler as taped on the print.")


class ClientChoiceShape(serializers.Serializer[Any]):
    choice = serializers.ChoiceField(
        ["this", "newest", "none"],
        help_text="What the client sees of the wall: this photograph, the newest that fits the plan, or none.",
    )


class LevelShape(serializers.Serializer[Any]):
    """Where the wall is: its two lower corners in the picture, or the place of the card's lower left corner on it."""

    left_px = point(required=False, help_text="The wall's lower left corner, where it meets the floor.")
    right_px = point(required=False, help_text="Its lower right corner.")
    left_mm = Millimetres(zero=True, required=False, help_text="The card's from the wall's left end.")
    bottom_mm = Millimetres(zero=True, required=False, help_text="The card's above the floor.")

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        if set(given) not in ({"left_px", "right_px"}, {"left_mm", "bottom_mm"}):
            raise serializers.ValidationError("Give left_px and right_px, or left_mm and bottom_mm.")
        return given


class ReferenceShape(serializers.Serializer[Any]):
    corners_px = corners()
    width_mm = Millimetres()
    height_mm = Millimetres()


class RulerShape(serializers.Serializer[Any]):
    ruler_mm = Millimetres(allow_null=True, help_text="null: it was not taped, and the stated errors are wider.")


class ApplyShape(serializers.Serializer[Any]):
    """Only a layout from the floor takes a revision and a space."""

    version = Version(allow_null=True, default=None, help_text=VERSION_HELP)
    revision = Mine(queryset=Revision.objects.select_related("plan"), required=False)
    space = PlainText(max_length=160, required=False)


class AppliedShape(serializers.Serializer[Any]):
    items = serializers.ListField(child=serializers.IntegerField(), help_text="Put on the wall, of a survey.")
    works = serializers.ListField(child=serializers.IntegerField(), help_text="Noted or hung.")
    shown = serializers.CharField(allow_null=True, help_text="Address of the photograph with works in it.")


class AcceptedMarksShape(serializers.Serializer[Any]):
    accepted = serializers.IntegerField()


class ReadingShape(serializers.Serializer[Any]):
    """A mark on the wall: left and bottom from the wall's lower left corner; errors cover 95 of 100."""

    mark = serializers.IntegerField(source="mark.pk")
    kind = serializers.CharField(source="mark.kind")
    state = serializers.ChoiceField(MarkState.choices, source="mark.state")
    artwork = serializers.IntegerField(source="mark.artwork_id", allow_null=True)
    left_mm = serializers.FloatField(source="rect.left")
    bottom_mm = serializers.FloatField(source="rect.bottom")
    width_mm = serializers.FloatField(source="rect.width")
    height_mm = serializers.FloatField(source="rect.height")
    error_mm = serializers.FloatField(help_text="Of the worst corner.")
    middle_error_mm = serializers.FloatField(help_text="Of the middle.")


class DifferenceShape(serializers.Serializer[Any]):
    """A planned piece as the photograph shows it."""

    placement = serializers.IntegerField(source="placement.pk")
    artwork = serializers.IntegerField(source="placement.artwork_id")
    conclusive = serializers.BooleanField(help_text="False where the photograph is too coarse to say.")
    right_mm = serializers.FloatField(source="compared.right", help_text="How far right of the plan.")
    up_mm = serializers.FloatField(source="compared.up", help_text="How far above the plan.")
    tilt_mm = serializers.FloatField(source="compared.tilt", allow_null=True)
    error_mm = serializers.FloatField(source="measured.middle_error_mm")
    text = serializers.CharField()


class MarkShape(RowSerializer[PhotoMark]):
    corners_px = corners(read_only=True)
    corners_mm = serializers.ListField(
        child=point(), read_only=True, allow_null=True, help_text="In the plane of the photograph."
    )
    rivals = serializers.ListField(
        child=serializers.IntegerField(), read_only=True, help_text="Works that would fit nearly as well."
    )

    class Meta:
        model = PhotoMark
        fields = (
            *("id", "photo", "kind", "corners_px", "corners_mm", "error_mm", "wall_error_mm", "middle_error_mm"),
            *("taped_width_mm", "taped_height_mm", "artwork", "rivals", "found", "state", "created_at", "updated_at"),
        )
        read_only_fields = fields


class DrawShape(serializers.Serializer[Any]):
    photo = Mine(queryset=Photo.objects.select_related("wall__room__project__client__studio"))
    kind = serializers.ChoiceField(MARK_KINDS)
    corners_px = corners()
    artwork = Mine(queryset=Artwork.objects.all(), required=False, allow_null=True)


class MarkChangeShape(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(MARK_KINDS, required=False)
    corners_px = corners(required=False)
    taped_width_mm = Millimetres(required=False)
    taped_height_mm = Millimetres(required=False)


class AnswerShape(serializers.Serializer[Any]):
    accept = serializers.BooleanField()
    artwork = Mine(
        queryset=Artwork.objects.all(), required=False, allow_null=True, help_text="Which work it is; null: none."
    )
