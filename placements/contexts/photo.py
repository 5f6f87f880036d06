"""What a photograph's page shows: its marks with their errors, and what can be done with them."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import numpy as np

from placements.models import MarkState, Photo, PhotoMark, PhotoPurpose, RunState
from placements.photogrammetry import quads
from placements.selectors.photos.measured import measured
from studio.models import ItemKind
from studio.units import Units

#: A stated error that is worth a second look before it is built on [mm]: a quarter inch.
WIDE_MM = 6.35


@dataclass(frozen=True, slots=True)
class MarkNote:
    """A mark as the page shows it. `points` draws it, `corners` are for the script that lets it be dragged."""

    mark: PhotoMark
    number: int
    name: str
    points: str
    flag: tuple[float, float]
    corners: str
    size: str
    place: str
    error: str
    wide: bool
    advice: str
    selected: bool

    @property
    def offered(self) -> bool:
        return self.mark.state == MarkState.OFFERED

    @property
    def state_words(self) -> str:
        if self.offered:
            return "found, waits for a yes"
        return str(self.mark.get_state_display()).lower()


def mark_notes(photo: Photo, units: Units, selected: int | None) -> list[MarkNote]:
    """The marks that count or wait, numbered from left to right; refused ones are left out."""
    marks = [mark for mark in photo.marks.select_related("artwork") if mark.state != MarkState.REFUSED]
    marks.sort(key=lambda mark: float(np.mean(mark.corners_px, axis=0)[0]))
    return [_note(photo, mark, number, units, mark.pk == selected) for number, mark in enumerate(marks, 1)]


def _note(photo: Photo, mark: PhotoMark, number: int, units: Units, selected: bool) -> MarkNote:
    corners = np.array(mark.corners_px, float)
    size = place = ""
    error = mark.error_mm
    if mark.corners_mm:
        size = units.size(*quads.size(np.array(mark.corners_mm, float)))
        if photo.level:
            found = measured(photo, mark)
            error = found.error_mm
            place = f"{units.length(found.rect.left)} from the left, {units.length(found.rect.bottom)} above the floor"
    wide = error is not None and error > WIDE_MM
    return MarkNote(
        mark=mark,
        number=number,
        name=_name(mark),
        points=" ".join(f"{x:.1f},{y:.1f}" for x, y in corners),
        flag=(float(corners[0][0]), float(corners[0][1])),
        corners=json.dumps(mark.corners_px),
        size=size,
        place=place,
        error=f"± {units.length(error)}" if error is not None else "",
        wide=wide,
        advice=f"Not sure to {units.length(WIDE_MM)}: tape it, or photograph it again from nearer." if wide else "",
        selected=selected,
    )


def _name(mark: PhotoMark) -> str:
    if mark.kind == "work":
        return mark.artwork.title if mark.artwork else "A frame"
    return str(dict(ItemKind.choices).get(mark.kind, mark.kind))


#: What each purpose asks of the reader, in order, with what to call its last step.
STEPS: dict[str, tuple[str, ...]] = {
    PhotoPurpose.SURVEY: (
        "Say yes to what was found, or draw a rectangle over each window, outlet and piece of furniture.",
        "Say where the wall is: its two lower corners, or the card's place.",
        "Put it all on the wall.",
    ),
    PhotoPurpose.HUNG: (
        "Say yes to each frame and which work it is.",
        "Say where the wall is.",
        "Note what hangs, and see what the house rules say of it.",
    ),
    PhotoPurpose.FLOOR: (
        "Say yes to each frame and which work it is; drag a corner where it is off.",
        "Choose the space, and hang the layout there, straightened and evenly spaced.",
    ),
    PhotoPurpose.AS_HUNG: (
        "Say yes to each frame and which work it is.",
        "Say where the wall is. What is out of place is listed below: which way, and how far.",
    ),
    PhotoPurpose.SHOW: (
        "Say where the wall is, and yes to frames that hang there now: they are painted over.",
        "Set the planned works into the photograph.",
    ),
}


def busy(photo: Photo) -> bool:
    return photo.state in (RunState.QUEUED, RunState.RUNNING)


def level_words(photo: Photo, units: Units) -> str:
    """Where the wall was said to be, in words; empty while nobody said."""
    level: dict[str, Any] = photo.level or {}
    if not level:
        return ""
    if "left_mm" in level:
        return (
            f"By the card, {units.length(level['left_mm'])} from the left and {units.length(level['bottom_mm'])} "
            "above the floor."
        )
    return "By its two lower corners."


def scale_words(photo: Photo, units: Units) -> str:
    """What the photograph is measured from, and how sure its scale is."""
    if photo.camera is None:
        return ""
    if photo.cards:
        card = photo.cards[0]
        paper = "Letter" if card["paper"] == "letter" else "A4"
        text = f"Reference card {card['number']} ({paper}), {len(card['places'])} of 4 markers read."
        if photo.ruler_mm is None:
            text += " Its print was not checked: tape its 100 mm ruler and type that, and the errors shrink."
        return text
    if photo.reference:
        return f"Measured from a rectangle of {units.size(photo.reference['width'], photo.reference['height'])}."
    return ""


def typed_before(photo: Photo, mark: PhotoMark | None, units: Units) -> dict[str, str]:
    """What was typed and marked last, as the forms start with it."""
    level, reference = photo.level or {}, photo.reference or {}
    measures = {
        "card_left": level.get("left_mm"),
        "card_bottom": level.get("bottom_mm"),
        "known_width": reference.get("width"),
        "known_height": reference.get("height"),
        "taped_width": mark.taped_width_mm if mark else None,
        "taped_height": mark.taped_height_mm if mark else None,
    }
    ends = [level["left_px"], level["right_px"]] if "left_px" in level else None
    return {name: "" if mm is None else units.typed(mm) for name, mm in measures.items()} | {
        "ruler": "" if photo.ruler_mm is None else f"{photo.ruler_mm:g} mm",
        "ends": json.dumps(ends) if ends else "",
        "known": json.dumps(reference["corners"]) if reference else "",
    }
