"""What the API shows and takes. Serializers shape and name; services decide."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from rest_framework import serializers

from studio.models import Artwork, Client, Membership, Project, Room, Studio, User, Wall, WallItem

from .fields import Kilograms, Millimetres, Mine, Number, PlainText, RowSerializer, Version, WholeNumber


class StudioSerializer(RowSerializer[Studio]):
    role = serializers.SerializerMethodField(help_text="The caller's role.")

    class Meta:
        model = Studio
        fields = ("id", "name", "slug", "unit_style", "paper", "time_zone", "role")
        read_only_fields = fields

    def get_role(self, studio: Studio) -> str:
        return str(studio.memberships.all()[0].role)


class PersonSerializer(RowSerializer[User]):
    class Meta:
        model = User
        fields = ("id", "name", "email")
        read_only_fields = fields


class MembershipSerializer(RowSerializer[Membership]):
    user = PersonSerializer(read_only=True)

    class Meta:
        model = Membership
        fields = ("id", "studio", "user", "role", "created_at")
        read_only_fields = ("studio", "user", "created_at")


class ClientSerializer(RowSerializer[Client]):
    studio = Mine(
        queryset=Studio.objects.all(), help_text="May be left out by whoever is in one studio only.", required=False
    )

    class Meta:
        model = Client
        fields = ("id", "studio", "name", "email", "unit_style", "notes", "created_at", "updated_at")
        validators: list[Any] = []


class ProjectSerializer(RowSerializer[Project]):
    client = Mine(queryset=Client.objects.all())
    designer = serializers.PrimaryKeyRelatedField(read_only=True, allow_null=True)
    latitude = Number(min_value=-90, max_value=90, allow_null=True, required=False)
    longitude = Number(min_value=-180, max_value=180, allow_null=True, required=False)
    survey_units = serializers.ChoiceField(choices=["in", "cm", "mm"], required=False)

    class Meta:
        model = Project
        fields = (
            *("id", "client", "name", "address_note", "latitude", "longitude", "time_zone", "designer"),
            *("survey_units", "created_at", "updated_at"),
        )
        validators: list[Any] = []


class RoomSerializer(RowSerializer[Room]):
    project = Mine(queryset=Project.objects.all())
    code = serializers.SlugField(required=False, max_length=60)
    position = WholeNumber(min_value=0, max_value=10_000, required=False)
    clear_width_mm = Millimetres(required=False, allow_null=True)
    colours = serializers.ListField(
        child=PlainText(max_length=40),
        max_length=20,
        required=False,
        help_text="Names such as ivory, or #rrggbb; the one that counts most first.",
    )

    class Meta:
        model = Room
        fields = (
            *("id", "project", "code", "name", "use", "style", "colours", "clear_width_mm", "around", "position"),
            *("created_at", "updated_at"),
        )
        validators: list[Any] = []


class ItemSerializer(RowSerializer[WallItem]):
    wall = Mine(queryset=Wall.objects.all())
    code = serializers.SlugField(required=False, max_length=60)
    left_mm = Millimetres(zero=True)
    bottom_mm = Millimetres(zero=True)
    width_mm = Millimetres()
    height_mm = Millimetres()
    depth_mm = Millimetres(zero=True, required=False)
    swing_leaf_mm = Millimetres(required=False, allow_null=True)
    wall_version = Version(write_only=True, required=False, help_text="The wall's version that this edit was made on.")

    class Meta:
        model = WallItem
        fields = (
            *("id", "wall", "code", "kind", "acts", "label", "left_mm", "bottom_mm", "width_mm", "height_mm"),
            *(
                "depth_mm",
                "view",
                "swing_hinge",
                "swing_leaf_mm",
                "swing_opens",
                "wall_version",
                "created_at",
                "updated_at",
            ),
        )
        validators: list[Any] = []


class WallSerializer(RowSerializer[Wall]):
    room = Mine(queryset=Room.objects.all())
    code = serializers.SlugField(required=False, max_length=60)
    position = WholeNumber(min_value=0, max_value=10_000, required=False)
    length_mm = Millimetres()
    height_mm = Millimetres()
    ceiling_mm = serializers.ListField(
        child=serializers.ListField(child=Millimetres(zero=True), min_length=2, max_length=2),
        max_length=60,
        required=False,
        help_text="A ceiling that is not level: [[along, up], …] from the left end to the right.",
    )
    focal = serializers.BooleanField(read_only=True, help_text="Whether its importance is focal.")
    stud_first_mm = Millimetres(zero=True, required=False, allow_null=True)
    stud_spacing_mm = Millimetres(required=False, allow_null=True)
    rail_from_x_mm = Millimetres(zero=True, required=False, allow_null=True)
    rail_from_y_mm = Millimetres(zero=True, required=False, allow_null=True)
    rail_to_x_mm = Millimetres(zero=True, required=False, allow_null=True)
    rail_to_y_mm = Millimetres(zero=True, required=False, allow_null=True)
    version = Version(
        required=False, help_text="To change a wall, the version that was read: an edit of an older one is refused."
    )
    items = ItemSerializer(many=True, read_only=True)

    class Meta:
        model = Wall
        fields = (
            *("id", "room", "code", "name", "position", "length_mm", "height_mm", "ceiling_mm", "faces_deg"),
            *("build", "stud_first_mm", "stud_spacing_mm", "finish", "accent", "importance", "focal", "keep_bare"),
            *("rail_from_x_mm", "rail_from_y_mm", "rail_to_x_mm", "rail_to_y_mm", "version", "items"),
            *("created_at", "updated_at"),
        )
        validators: list[Any] = []


class ArtworkSerializer(RowSerializer[Artwork]):
    studio = Mine(queryset=Studio.objects.all(), required=False)
    client = Mine(queryset=Client.objects.all(), required=False, allow_null=True)
    project = Mine(queryset=Project.objects.all(), required=False, allow_null=True)
    hung_wall = Mine(queryset=Wall.objects.all(), required=False, allow_null=True)
    code = serializers.SlugField(required=False, max_length=60)
    width_mm = Millimetres(help_text="Outer width with frame.")
    height_mm = Millimetres(help_text="Outer height with frame.")
    depth_mm = Millimetres(zero=True, required=False)
    weight_kg = Kilograms(required=False, allow_null=True)
    frame_width_mm = Millimetres(required=False, allow_null=True)
    mat_width_mm = Millimetres(required=False, allow_null=True)
    hang_below_top_mm = Millimetres(zero=True, required=False, allow_null=True)
    hang_inset_mm = Millimetres(zero=True, required=False, allow_null=True)
    hang_length_mm = Millimetres(required=False, allow_null=True)
    hang_spacing_mm = Millimetres(required=False, allow_null=True)
    hung_left_mm = Millimetres(zero=True, required=False, allow_null=True)
    hung_bottom_mm = Millimetres(zero=True, required=False, allow_null=True)
    themes = serializers.ListField(child=PlainText(max_length=40), max_length=20, required=False)
    medium = PlainText(max_length=200, required=False, allow_blank=True)
    facts = serializers.DictField(
        child=PlainText(max_length=2000, allow_blank=True),
        required=False,
        help_text="What else is known of it, by heading: insured value, owner, provenance, notes; at most 60.",
    )
    palette_lab = serializers.JSONField(read_only=True)
    picture = serializers.SerializerMethodField(help_text="Address of its picture, null without one.")
    version = Version(required=False)

    class Meta:
        model = Artwork
        fields = (
            *("id", "studio", "client", "project", "code", "title", "maker", "form", "medium", "facts"),
            *(
                "width_mm",
                "height_mm",
                "depth_mm",
                "weight_kg",
                "frame",
                "frame_width_mm",
                "mat_width_mm",
                "themes",
                "glazed",
                "light",
            ),
            *("hang_kind", "hang_below_top_mm", "hang_inset_mm", "hang_length_mm", "hang_spacing_mm", "set_name"),
            *("locked_to", "storage", "hung_wall", "hung_left_mm", "hung_bottom_mm", "palette_lab", "picture"),
            *("version", "created_at", "updated_at"),
        )
        validators: list[Any] = []

    def get_picture(self, artwork: Artwork) -> str | None:
        return reverse("work_picture", args=[artwork.pk, "page"]) if artwork.picture else None


class PictureSerializer(serializers.Serializer[Any]):
    picture = serializers.FileField()
    quarters = WholeNumber(default=0, min_value=0, max_value=3, help_text="Quarter turns clockwise, made first.")
    corners = serializers.JSONField(
        required=False,
        help_text="What is kept: [[across, down], …] of its top left, top right, bottom right and bottom left corner, "
        "as shares of the turned picture's sides. All of it where not given.",
    )
    to_piece = serializers.BooleanField(
        default=True, help_text="Whether what is kept takes the piece's own proportions."
    )

    def validate_corners(self, value: Any) -> tuple[tuple[float, float], ...]:
        pairs = value if isinstance(value, list) else []
        if len(pairs) != 4 or not all(isinstance(pair, list) and len(pair) == 2 for pair in pairs):
            raise serializers.ValidationError("Expected four pairs of numbers.")
        if not all(isinstance(one, (int, float)) and not isinstance(one, bool) for pair in pairs for one in pair):
            raise serializers.ValidationError("Expected four pairs of numbers.")
        try:
            return tuple((float(across), float(down)) for across, down in pairs)
        except OverflowError as error:
            raise serializers.ValidationError("Expected shares from 0 to 1.") from error


class BulkSerializer(serializers.Serializer[Any]):
    """The same change to many pieces, all or none."""

    studio = Mine(queryset=Studio.objects.all(), required=False)
    ids = serializers.ListField(child=WholeNumber(min_value=1), min_length=1, max_length=500)
    maker = PlainText(max_length=120, required=False, allow_blank=True)
    form = serializers.ChoiceField(choices=Artwork._meta.get_field("form").choices, required=False)
    frame = PlainText(max_length=40, required=False, allow_blank=True)
    themes = serializers.ListField(child=PlainText(max_length=40), max_length=20, required=False)
    glazed = serializers.BooleanField(required=False)
    light = serializers.ChoiceField(choices=Artwork._meta.get_field("light").choices, required=False)
    set_name = PlainText(max_length=60, required=False, allow_blank=True)
    storage = PlainText(max_length=120, required=False, allow_blank=True)
    client = Mine(queryset=Client.objects.all(), required=False, allow_null=True)
    project = Mine(queryset=Project.objects.all(), required=False, allow_null=True)
