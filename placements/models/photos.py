"""Photographs that measure, and what was marked in them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.models.base import Leased, Owned

from .plans import RunState


class PhotoPurpose(models.TextChoices):
    SURVEY = "survey", "Survey a wall"
    HUNG = "hung", "What hangs there now"
    FLOOR = "floor", "A layout on the floor"
    AS_HUNG = "as_hung", "As hung"
    SHOW = "show", "Show works in this photo"


def photo_path(photo: Photo, filename: str) -> str:
    return f"studios/{photo.wall.room.project.client.studio_id}/photos/{filename}"


class Photo(Leased):
    """A photograph of a wall (or of pieces laid out for it), measured in the background.

    `camera` and `covariance` are the solved picture (`photogrammetry.solve.Fit`); `level` is how the wall was
    marked (`left_px` and `right_px`, or the card's `left_mm` and `bottom_mm`) and where that puts it in the plane:
    origin x, y [mm], turn [rad].
    """

    studio_path: ClassVar[str] = "wall__room__project__client__studio"

    wall = models.ForeignKey("studio.Wall", models.CASCADE, related_name="photos")
    placement = models.ForeignKey(
        "placements.Placement",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="photos",
        help_text="The piece as hung that its hanger took it of.",
    )
    purpose = models.CharField(max_length=10, choices=PhotoPurpose.choices)
    picture = models.ImageField(upload_to=photo_path)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    focal_ratio = models.FloatField(null=True, blank=True, help_text="Focal length over the long side, by the file.")
    taken_by = models.ForeignKey("studio.User", models.SET_NULL, null=True, related_name="+")
    reference = models.JSONField(
        null=True, blank=True, help_text="A rectangle of known size: its corners [px], width and height [mm]."
    )
    ruler_mm = models.FloatField(null=True, blank=True, help_text="The card's 100 mm ruler as taped on the print.")
    state = models.CharField(max_length=10, choices=RunState.choices, default=RunState.QUEUED)
    camera = models.JSONField(null=True, blank=True)
    covariance = models.JSONField(null=True, blank=True)
    misfit_px = models.FloatField(null=True, blank=True)
    cards = models.JSONField(default=list, blank=True, help_text="Cards read: paper, number and outline [px].")
    level = models.JSONField(null=True, blank=True, help_text="Where the wall is, as set, and what follows from it.")
    shown = models.ImageField(upload_to=photo_path, blank=True, help_text="The photo with works set into it.")
    shown_facts = models.JSONField(
        default=dict, blank=True, help_text="How it was measured and what hung, as then shown."
    )
    for_client = models.BooleanField(
        null=True, help_text="Chosen for the client's view, hidden from it, or blank: shown while it is the newest."
    )

    def __str__(self) -> str:
        return f"{self.get_purpose_display()}: {self.wall}"


class MarkState(models.TextChoices):
    OFFERED = "offered", "Offered"
    ACCEPTED = "accepted", "Accepted"
    REFUSED = "refused", "Refused"
    TAKEN = "taken", "Taken over"


class PhotoMark(Owned):
    """A rectangle in a photo: found and offered, or drawn. Nothing counts before somebody said yes.

    `corners_px` : four [x, y], top left, top right, bottom right, bottom left, of the outline that is seen;
    `corners_mm` : where that outline is on the plane, by the depth that is on record or that `relief` tells;
    `error_mm` the stated error (95 %) of the worst corner there, `wall_error_mm` and `middle_error_mm` those of the
    worst corner and of the middle on the wall, once somebody said where that is; `taped_*` what a tape said: the photo
    is solved anew by it.
    """

    studio_path: ClassVar[str] = "photo__wall__room__project__client__studio"

    photo = models.ForeignKey(Photo, models.CASCADE, related_name="marks")
    kind = models.CharField(max_length=20, default="work", help_text="work, or the kind of an item on the wall.")
    corners_px = models.JSONField()
    corners_mm = models.JSONField(null=True, blank=True)
    error_mm = models.FloatField(null=True, blank=True)
    wall_error_mm = models.FloatField(null=True, blank=True)
    middle_error_mm = models.FloatField(null=True, blank=True)
    sigma_px = models.FloatField(default=1.5)
    relief = models.JSONField(
        null=True, blank=True, help_text="How it stands off the wall, as the picture shows it (`photogrammetry.depth`)."
    )
    taped_width_mm = models.FloatField(null=True, blank=True)
    taped_height_mm = models.FloatField(null=True, blank=True)
    artwork = models.ForeignKey("studio.Artwork", models.SET_NULL, null=True, blank=True, related_name="+")
    rivals = models.JSONField(default=list, blank=True, help_text="Works that would fit nearly as well.")
    found = models.BooleanField(default=False, help_text="Found in the picture, not drawn.")
    state = models.CharField(max_length=10, choices=MarkState.choices, default=MarkState.OFFERED)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.kind} in {self.photo}"
