"""The shelf of outlines: what usually stands on a wall, each drawn small, at its usual size."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from django.utils.safestring import SafeString, mark_safe

from placements.drawings import THUMBNAIL, Elevation, draw_elevation
from placements.engine.house import Item, Wall
from studio.models.furniture import ItemKind

from .typical import starting_size

#: In the order in which a wall is surveyed: openings, furniture, what stands on it, services.
KINDS = (
    *("window", "door", "sofa", "bed", "console", "dresser", "nightstand", "end_table", "desk", "bookcase"),
    *("floor_lamp", "table_lamp", "sconce", "television", "mantel", "radiator", "outlet", "switch"),
)
_HIGH_PX = 34.0
_SAID = re.compile(r"<title.*?</title>|<desc.*?</desc>| role=\"img\"| aria-labelledby=\"[^\"]*\"", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Outline:
    """A kind with its drawing, and the shorthand that puts it on a wall."""

    name: str
    line: str
    drawing: SafeString


@cache
def shelf_of_kinds() -> tuple[Outline, ...]:
    return tuple(_outline(kind) for kind in KINDS)


def _outline(kind: str) -> Outline:
    size = starting_size(kind)
    assert size is not None
    item = Item(id=f"shelf-{kind}", kind=kind, left=0.0, bottom=0.0, width=size.width, height=size.height)
    wall = Wall(
        id=f"shelf-{kind}", room="", name="", length=size.width, height=size.height, finish="paint", accent=False,
        rail=None, items=(item,),
    )  # fmt: skip
    name = str(ItemKind(kind).label)
    drawn = draw_elevation(
        Elevation(wall, title=name), manner=THUMBNAIL, scale=_HIGH_PX / max(size.height, size.width / 1.6)
    )
    # It is seen, not read: the button beside it says its name.
    bare = _SAID.sub("", drawn).replace('class="elevation thumbnail"', 'class="outline" aria-hidden="true"', 1)
    # Every text in the drawing is escaped by `placements.drawings`.
    return Outline(name, name.lower(), mark_safe(bare))
