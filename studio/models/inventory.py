"""The art: what it is, how large, how it hangs, where it is."""

from __future__ import annotations

from typing import Any

from django.db import models
from simple_history.models import HistoricalRecords

from .base import LengthField, Owned, positive
from .clients import Client, Project
from .people import Studio
from .rooms import Wall


class Form(models.TextChoices):
    PAINTING = "painting", "Painting"
    PRINT = "print", "Print"
    DRAWING = "drawing", "Drawing"
    PHOTOGRAPH = "photograph", "Photograph"
    TEXTILE = "textile", "Textile"
    MIRROR = "mirror", "Mirror"
    RELIEF = "relief", "Relief"
    BASKET = "basket", "Basket"
    CLOCK = "clock", "Clock"
    OBJECT = "object", "Object"


class LightClass(models.TextChoices):
    ROBUST = "robust", "Robust"
    MODERATE = "moderate", "Moderate"
    SENSITIVE = "sensitive", "Sensitive"


class HangKind(models.TextChoices):
    WIRE = "wire", "Wire on two rings"
    TWO_RINGS = "two_rings", "Two rings"
    SAWTOOTH = "sawtooth", "Sawtooth"
    CLEAT = "cleat", "Cleat"
    KEYHOLES = "keyholes", "Keyholes"
    RING = "ring", "Single ring"
    STRAPS = "straps", "Strap hangers"
    SECURITY = "security", "Security hangers"
    BATTEN = "batten", "Textile batten"
    RODS = "rods", "Rods or cables from a rail"
    EASEL = "easel", "Stands on an easel"
    LEAN = "lean", "Leans on the wall"


def picture_path(artwork: Any, filename: str) -> str:
    """Pictures are stored by studio and content name; the uploaded name is never used."""
    return f"studios/{artwork.studio_id}/art/{filename}"


class Artwork(Owned):
    """A piece of art, by its outer size with frame [mm].

    Belongs to a client, or, with no client, to the studio's own stock. With `project` set it is meant for that
    project only.
    """

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="artworks")
    client = models.ForeignKey(Client, models.CASCADE, null=True, blank=True, related_name="artworks")
    project = models.ForeignKey(Project, models.SET_NULL, null=True, blank=True, related_name="artworks")
    code = models.SlugField(max_length=60, help_text="Its id in the survey file.")
    title = models.CharField(max_length=200)
    maker = models.CharField(max_length=120, blank=True)
    form = models.CharField(max_length=12, choices=Form.choices, default=Form.PAINTING)
    medium = models.CharField(max_length=200, blank=True, help_text="In words, as its list says it.")
    width_mm = LengthField()
    height_mm = LengthField()
    depth_mm = LengthField(default=0)
    weight_kg = models.FloatField(null=True, blank=True, help_text="Blank: estimated, and marked as estimated.")
    frame = models.CharField(max_length=40, blank=True, help_text="Colour or kind: black, oak, gilt, none.")
    frame_width_mm = LengthField(null=True, blank=True)
    mat_width_mm = LengthField(null=True, blank=True)
    themes = models.JSONField(default=list, blank=True)
    glazed = models.BooleanField(default=False)
    light = models.CharField(max_length=10, choices=LightClass.choices, default=LightClass.MODERATE)
    hang_kind = models.CharField(max_length=10, choices=HangKind.choices, blank=True, help_text="Blank: not measured.")
    hang_below_top_mm = LengthField(null=True, blank=True)
    hang_inset_mm = LengthField(null=True, blank=True)
    hang_length_mm = LengthField(null=True, blank=True)
    hang_spacing_mm = LengthField(null=True, blank=True)
    set_name = models.CharField(max_length=60, blank=True)
    locked_to = models.CharField(max_length=120, blank=True, help_text="Id of the space, wall or room it is fixed to.")
    storage = models.CharField(max_length=120, blank=True, help_text="Where it is stored until it hangs.")
    facts = models.JSONField(
        default=dict,
        blank=True,
        help_text="What else is known of it, by heading: insured value, owner, provenance, notes.",
    )
    picture = models.ImageField(upload_to=picture_path, blank=True)
    original = models.ImageField(
        upload_to=picture_path, blank=True, help_text="The photograph that the picture was cut from, if it was."
    )
    crop = models.JSONField(
        null=True, blank=True, help_text="How: quarter turns clockwise, and four corners as shares of its sides."
    )
    palette_lab = models.JSONField(default=list, blank=True, help_text="Dominant colours as CIELAB (D65) triples.")
    hues = models.CharField(
        max_length=120, blank=True, help_text="Names of the hues in its palette, each between commas: ,blue,grey,"
    )
    hung_wall = models.ForeignKey(Wall, models.SET_NULL, null=True, blank=True, related_name="hung_artworks")
    hung_left_mm = LengthField(null=True, blank=True)
    hung_bottom_mm = LengthField(null=True, blank=True)
    apart = models.ManyToManyField("self", blank=True, symmetrical=True, help_text="Never in one room with these.")
    version = models.PositiveIntegerField(default=1)

    history = HistoricalRecords()

    class Meta:
        ordering = ["title", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["project", "code"],
                condition=models.Q(project__isnull=False),
                name="artwork_code_once_a_project",
            ),
            models.UniqueConstraint(
                fields=["client", "code"],
                condition=models.Q(project__isnull=True, client__isnull=False),
                name="artwork_code_once_a_client",
            ),
            models.UniqueConstraint(
                fields=["studio", "code"],
                condition=models.Q(project__isnull=True, client__isnull=True),
                name="artwork_code_once_in_stock",
            ),
            positive("artwork_size_above_zero", "width_mm", "height_mm"),
            models.CheckConstraint(
                condition=models.Q(weight_kg__isnull=True) | models.Q(weight_kg__gt=0), name="artwork_weight_above_zero"
            ),
        ]
        indexes = [models.Index(fields=["studio", "client", "title"]), models.Index(fields=["studio", "form"])]

    def __str__(self) -> str:
        return self.title
