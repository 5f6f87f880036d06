"""Rooms and their walls. Lengths in millimetres, seen facing the wall, from its lower left corner."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from simple_history.models import HistoricalRecords

from .base import LengthField, Owned, positive
from .clients import Project


class RoomUse(models.TextChoices):
    LIVING = "living", "Living room"
    DINING = "dining", "Dining room"
    BEDROOM = "bedroom", "Bedroom"
    NURSERY = "nursery", "Nursery"
    KITCHEN = "kitchen", "Kitchen"
    BATH = "bath", "Bathroom"
    HALL = "hall", "Hall"
    STAIR = "stair", "Stair"
    STUDY = "study", "Study"
    MEDIA = "media", "Media room"
    PUBLIC_CORRIDOR = "public_corridor", "Public corridor"
    LOBBY = "lobby", "Lobby"
    OFFICE = "office", "Office"
    OTHER = "other", "Other"


class Build(models.TextChoices):
    DRYWALL = "drywall", "Drywall on studs"
    PLASTER = "plaster", "Plaster"
    BRICK = "brick", "Brick"
    CONCRETE = "concrete", "Concrete"
    TILE = "tile", "Tile"
    TIMBER = "timber", "Timber"


class Finish(models.TextChoices):
    PAINT = "paint", "Paint"
    PLAIN_WALLPAPER = "plain_wallpaper", "Plain wallpaper"
    PATTERNED_WALLPAPER = "patterned_wallpaper", "Patterned wallpaper"
    BRICK = "brick", "Brick"
    STONE = "stone", "Stone"
    TILE = "tile", "Tile"
    PANEL_MOULDING = "panel_moulding", "Panel moulding"


class Importance(models.TextChoices):
    FOCAL = "focal", "What the room looks at"
    SECONDARY = "secondary", "Second to the focal wall"
    ORDINARY = "ordinary", "A wall like others"


class Room(Owned):
    studio_path: ClassVar[str] = "project__client__studio"

    project = models.ForeignKey(Project, models.CASCADE, related_name="rooms")
    code = models.SlugField(max_length=60, help_text="Its id in the survey file.")
    name = models.CharField(max_length=120)
    use = models.CharField(max_length=20, choices=RoomUse.choices, default=RoomUse.OTHER)
    style = models.CharField(max_length=60, blank=True)
    colours = models.JSONField(
        default=list, blank=True, help_text="Names or #rrggbb of its walls and furnishings, the one that counts first."
    )
    clear_width_mm = LengthField(null=True, blank=True, help_text="Width of the way between a corridor's walls.")
    around = models.BooleanField(
        default=False, help_text="Its walls stand in order, clockwise seen from above, and meet end to end."
    )
    position = models.PositiveIntegerField(default=0)

    history = HistoricalRecords()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [models.UniqueConstraint(fields=["project", "code"], name="room_code_once_a_project")]

    def __str__(self) -> str:
        return self.name


class Wall(Owned):
    studio_path: ClassVar[str] = "room__project__client__studio"

    room = models.ForeignKey(Room, models.CASCADE, related_name="walls")
    code = models.SlugField(max_length=60, help_text="Its id in the survey file, unique in the project.")
    name = models.CharField(max_length=120)
    position = models.PositiveIntegerField(default=0)
    length_mm = LengthField()
    height_mm = LengthField(help_text="The greatest, from floor to ceiling.")
    ceiling_mm = models.JSONField(
        default=list,
        blank=True,
        help_text="Where it is not level: [[along, up], …] from the left end to the right; two at one place: a step.",
    )
    faces_deg = models.FloatField(
        null=True, blank=True, help_text="Compass bearing that the wall's face looks towards."
    )
    build = models.CharField(max_length=12, choices=Build.choices, default=Build.DRYWALL)
    stud_first_mm = LengthField(null=True, blank=True)
    stud_spacing_mm = LengthField(null=True, blank=True)
    finish = models.CharField(max_length=24, choices=Finish.choices, default=Finish.PAINT)
    accent = models.BooleanField(default=False)
    importance = models.CharField(max_length=10, choices=Importance.choices, default=Importance.ORDINARY)
    keep_bare = models.BooleanField(default=False)
    rail_from_x_mm = LengthField(null=True, blank=True)
    rail_from_y_mm = LengthField(null=True, blank=True)
    rail_to_x_mm = LengthField(null=True, blank=True)
    rail_to_y_mm = LengthField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1, help_text="Counts every change of the wall or its items.")

    history = HistoricalRecords()

    class Meta:
        ordering = ["room__position", "room", "position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["room", "code"], name="wall_code_once_a_room"),
            positive("wall_size_above_zero", "length_mm", "height_mm"),
            models.CheckConstraint(
                condition=models.Q(faces_deg__isnull=True) | models.Q(faces_deg__gte=0, faces_deg__lt=360),
                name="wall_faces_a_bearing",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def focal(self) -> bool:
        """Whether the room looks at it."""
        return self.importance == Importance.FOCAL
