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


class Room(Owned):
    studio_path: ClassVar[str] = "project__client__studio"

    project = models.ForeignKey(Project, models.CASCADE, related_name="rooms")
    code = models.SlugField(max_length=60, help_text="Its id in the survey file.")
    name = models.CharField(max_length=120)
    use = models.CharField(max_length=20, choices=RoomUse.choices, default=RoomUse.OTHER)
    style = models.CharField(max_length=60, blank=True)
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
    height_mm = LengthField()
    faces_deg = models.FloatField(
        null=True, blank=True, help_text="Compass bearing that the wall's face looks towards."
    )
    build = models.CharField(max_length=12, choices=Build.choices, default=Build.DRYWALL)
    stud_first_mm = LengthField(null=True, blank=True)
    stud_spacing_mm = LengthField(null=True, blank=True)
    finish = models.CharField(max_length=24, choices=Finish.choices, default=Finish.PAINT)
    accent = models.BooleanField(default=False)
    focal = models.BooleanField(default=False)
    keep_bare = models.BooleanField(default=False)
    rail_from_x_mm = LengthField(null=True, blank=True)
    rail_from_y_mm = LengthField(null=True, blank=True)
    rail_to_x_mm = LengthField(null=True, blank=True)
    rail_to_y_mm = LengthField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1, help_text="Counts every change of the wall or what stands on it.")

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
