"""From rows to what the drawing takes: pieces in their frames, walls at a size."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from placements.drawings import HAND, SCREEN, THUMBNAIL, DrawnPiece, Elevation, Manner, draw_elevation
from placements.engine.colour import lab_to_srgb
from placements.engine.house import Item, Rail, Rect, Wall
from placements.models import Placement
from placements.pieces import Piece
from placements.scenes import ceiling_of, swing_of
from studio import models as rows
from studio.units import Units, parse_length
from studio.words import sentence

#: Drawings as strings, kept by all that they are drawn of: small ones of some 3 kB, and whole walls of some 30 kB.
small_drawing = lru_cache(maxsize=4096)(draw_elevation)
large_drawing = lru_cache(maxsize=128)(draw_elevation)

PictureUrl = Callable[[rows.Artwork, str], str]
#: Below this many CSS pixels a drawing is made for the hand.
NARROW = 560.0
#: The smallest window that pages are made for.
SMALL_WINDOW = "360x780"


@dataclass(frozen=True, slots=True)
class SheetRoom:
    """The room that a page has for a drawing [CSS px], and the manner that suits it. `enlarged`: more than the page
    shows at once, so the reader pans."""

    width: float = 860.0
    height: float = 600.0
    manner: Manner = SCREEN
    enlarged: bool = False


def sheet_room(
    cookies: Mapping[str, str],
    leaves: Callable[[float], float],
    *,
    high: float = 600.0,
    may_enlarge: bool = False,
) -> SheetRoom:
    """The room for a drawing on the reader's screen, so that its lettering comes out as large as the page's.

    The browser says how large its window is (`base.js`) and whether the reader enlarged the drawing; a page that is
    opened before that is drawn for a desk. `leaves` is the width that a page's columns leave for the drawing in a
    window of 768 px and more; below, every page is one column.
    """
    wide, tall = _window(cookies.get("window", ""))
    width = wide - 42 if wide < 768 else min(max(leaves(wide), 300.0), 860.0)
    if width >= NARROW:
        return SheetRoom(width=width, height=high)
    if may_enlarge and cookies.get("enlarged") == "1":
        return SheetRoom(width=width * 2.2, height=tall * 1.3, enlarged=True)
    return SheetRoom(width=width, height=max(tall * 0.6, 300.0), manner=HAND)


def sheet_rooms(
    cookies: Mapping[str, str], leaves: Callable[[float], float], *, high: float = 600.0
) -> tuple[SheetRoom, ...]:
    """The room for a drawing; before the browser has sent its window's size a desk's and a phone's, of which
    the page shows the one that fits."""
    room = sheet_room(cookies, leaves, high=high)
    return (room,) if "window" in cookies else (room, sheet_room({"window": SMALL_WINDOW}, leaves, high=high))


def _window(said: str) -> tuple[float, float]:
    wide, _, tall = said.partition("x")
    if wide.isdecimal() and tall.isdecimal() and len(said) < 12:
        return min(max(float(wide), 320.0), 4000.0), min(max(float(tall), 320.0), 4000.0)
    return 1440.0, 900.0


def boxed(mm: float, units: Units) -> str:
    """A limit for a box to type in: set properly where that says it exactly, else to the last digit."""
    text = units.length(mm)
    return text if abs(parse_length(text, units.unit, zero=True, negative=True) - mm) < 0.01 else units.typed(mm)


def studio_picture(artwork: rows.Artwork, alias: str) -> str:
    """Where a member of the studio sees a work's picture; empty where it has none."""
    return reverse("work_picture", args=[artwork.pk, alias]) if artwork.picture else ""


def tone_of(artwork: rows.Artwork) -> str:
    """The leading colour of a work's picture, empty where it is not known."""
    if not artwork.palette_lab:
        return ""
    red, green, blue = lab_to_srgb(artwork.palette_lab[0])
    return f"#{red:02x}{green:02x}{blue:02x}"


def drawn_piece(
    artwork: rows.Artwork,
    left_mm: float,
    bottom_mm: float,
    *,
    key: str = "",
    picture: str = "",
    number: str = "",
    described: str = "",
    locked: bool = False,
) -> DrawnPiece:
    """A work where it hangs. `key` identifies it on the page: its number by default."""
    return DrawnPiece(
        id=key or str(artwork.pk),
        title=artwork.title,
        rect=Rect(left_mm, bottom_mm, artwork.width_mm, artwork.height_mm),
        picture=picture,
        form=artwork.form,
        frame=artwork.frame,
        frame_mm=artwork.frame_width_mm,
        mat_mm=artwork.mat_width_mm,
        number=number,
        described=described,
        locked=locked,
        tone=tone_of(artwork),
    )


def standing(wall: rows.Wall) -> list[rows.WallItem]:
    """The items of a wall, from the left."""
    return sorted(wall.items.all(), key=lambda item: (item.left_mm, item.pk))


def drawn_wall(wall: rows.Wall, *, key: str = "") -> Wall:
    """A wall row with its prefetched items as the drawing takes it. `key` keeps ids apart on one page."""
    rail = (wall.rail_from_x_mm, wall.rail_from_y_mm, wall.rail_to_x_mm, wall.rail_to_y_mm)
    return Wall(
        id=key or f"w{wall.pk}",
        room=str(wall.room_id),
        name=wall.name,
        length=wall.length_mm,
        height=wall.height_mm,
        finish=wall.finish,
        accent=wall.accent,
        rail=Rail(*rail) if None not in rail else None,
        items=tuple(
            Item(
                id=str(item.pk),
                kind=item.kind,
                left=item.left_mm,
                bottom=item.bottom_mm,
                width=item.width_mm,
                height=item.height_mm,
                custom_acts=item.acts or None,
                label=item.label,
                swing=swing_of(item),
            )
            for item in standing(wall)
        ),
        ceiling=ceiling_of(wall),
    )


def small_elevation(
    wall: rows.Wall,
    hung: Iterable[Placement | Piece],
    *,
    scale: float,
    manner: Manner = THUMBNAIL,
    picture_url: PictureUrl | None = None,
    key: str = "",
) -> SafeString:
    """A wall without lettering at a common scale: in the ledger, along a room's floor line, beside a finding."""
    pieces = tuple(
        drawn_piece(
            one.artwork,
            one.left_mm,
            one.bottom_mm,
            picture=picture_url(one.artwork, "strip") if picture_url else "",
        )
        for one in hung
    )
    names = ", ".join(piece.title for piece in pieces)
    given = Elevation(
        drawn_wall(wall, key=key),
        pieces,
        title=wall.name,
        described=sentence(f"Hanging here: {names}") if names else "Nothing hangs here.",
    )
    # Every text in the drawing is escaped by `placements.drawings`.
    return mark_safe(small_drawing(given, manner=manner, scale=scale))
