"""The items of a wall: furniture, openings, lights, services."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from simple_history.models import HistoricalRecords

from .base import LengthField, Owned, positive
from .rooms import Wall


class ItemKind(models.TextChoices):
    SOFA = "sofa", "Sofa"
    BED = "bed", "Bed"
    CONSOLE = "console", "Console"
    SIDEBOARD = "sideboard", "Sideboard"
    DRESSER = "dresser", "Dresser"
    CHEST = "chest", "Chest"
    NIGHTSTAND = "nightstand", "Nightstand"
    END_TABLE = "end_table", "End table"
    DESK = "desk", "Desk"
    BENCH = "bench", "Bench"
    PIANO = "piano", "Piano"
    MANTEL = "mantel", "Mantel"
    WINDOW = "window", "Window"
    DOOR = "door", "Door"
    DOOR_LEAF = "door_leaf", "Door leaf, standing open"
    OPENING = "opening", "Opening"
    BOOKCASE = "bookcase", "Bookcase"
    CABINET = "cabinet", "Cabinet"
    FLOOR_LAMP = "floor_lamp", "Floor lamp"
    TALL_PLANT = "tall_plant", "Tall plant"
    SCONCE = "sconce", "Sconce"
    TELEVISION = "television", "Television"
    NICHE = "niche", "Niche"
    SHELF = "shelf", "Shelf"
    RADIATOR = "radiator", "Radiator"
    PANEL = "panel", "Panel moulding"
    WAINSCOT = "wainscot", "Wainscot"
    CHAIR_RAIL = "chair_rail", "Chair rail"
    PICTURE_RAIL = "picture_rail", "Picture rail"
    OUTLET = "outlet", "Outlet"
    SWITCH = "switch", "Switch"
    THERMOSTAT = "thermostat", "Thermostat"
    VENT = "vent", "Vent"
    SPRINKLER = "sprinkler", "Sprinkler"
    ALARM = "alarm", "Alarm"
    STATEMENT_LIGHT = "statement_light", "Statement light"
    TABLE_LAMP = "table_lamp", "Table lamp"
    ORNAMENT = "ornament", "Ornament"
    CUSTOM = "custom", "Something else"


class Hinge(models.TextChoices):
    LEFT = "left", "On the left"
    RIGHT = "right", "On the right"
    BOTH = "both", "Two leaves, on both sides"


class Opens(models.TextChoices):
    THIS_WALL = "this_wall", "Back against this wall"
    NEXT_WALL = "next_wall", "Against the wall at its hinges"
    SQUARE = "square", "Square into the room"
    OUT = "out", "Out of the room"


class WallItem(Owned):
    studio_path: ClassVar[str] = "wall__room__project__client__studio"

    wall = models.ForeignKey(Wall, models.CASCADE, related_name="items")
    code = models.SlugField(max_length=60, help_text="Its id in the survey file, unique on the wall.")
    kind = models.CharField(max_length=20, choices=ItemKind.choices)
    acts = models.CharField(
        max_length=10, blank=True, help_text="For something else only: bearer, bound, service, ignore."
    )
    label = models.CharField(max_length=80, blank=True)
    left_mm = LengthField()
    bottom_mm = LengthField()
    width_mm = LengthField()
    height_mm = LengthField()
    depth_mm = LengthField(default=0)
    view = models.BooleanField(default=False, help_text="A window with a view worth keeping.")
    swing_hinge = models.CharField(
        max_length=6, blank=True, choices=Hinge.choices, help_text="Where a door's hinges are, seen facing its wall."
    )
    swing_leaf_mm = LengthField(null=True, blank=True, help_text="Width of one leaf of a door.")
    swing_opens = models.CharField(
        max_length=10, blank=True, choices=Opens.choices, help_text="Where a door's leaf stands open."
    )

    history = HistoricalRecords()

    class Meta:
        ordering = ["left_mm", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["wall", "code"], name="item_code_once_a_wall"),
            positive("item_size_above_zero", "width_mm", "height_mm"),
        ]

    def __str__(self) -> str:
        return self.label or self.get_kind_display()
