"""What the rules look at: frozen arrays over N works and M spaces, and the pairs of them at their places.

Every work array is (N,), every space array (M,). A pair array broadcasts to (N, M): works run down, spaces across.
Lengths are in mm, weights in kg. NaN means unknown or "there is none"; a rule asks before it judges.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from .errors import InvalidHouse
from .house import FORMS, LIGHT_CLASSES, House, Item, Wall, Work
from .limits import Array, Mask
from .margins import DEFAULT_MARGINS, Margins
from .names import small
from .obstacles import standing_before
from .results import Space
from .stairs import RAIL_HEIGHT_MM, climbs, rail_at, slope_of
from .surroundings import REASONS, surroundings
from .weights import estimated_weight

KINDS = ("over_furniture", "panel", "open_wall", "stair")
SHAPES = ("landscape", "square", "portrait")
Index = slice | npt.NDArray[Any]


@dataclass(frozen=True)
class Scene:
    """N works x M spaces.

    width, height, depth : (N,) [mm] outer size
    proportion : (N,) [ratio] width / height
    form, light : (N,) index into `house.FORMS`, `house.LIGHT_CLASSES`
    weight : (N,) [kg] as weighed, else the upper estimate; weighed : (N,) bool
    glazed, hardware_known : (N,) bool

    kind, shape : (M,) index into `KINDS`, `SHAPES`
    left, bottom, right, top : (M,) [mm] where art may hang (`Space.reach`), margins already off
    axis : (M,) [mm] x on which a piece is centred
    basis : (M,) [mm] what two-thirds measures against
    bearer_top : (M,) [mm] NaN where nothing stands below
    datum, slope : (M,) [mm, ratio] height of the line of a stair's nosings at the axis (below zero where it runs into
        the floor) and its rise to the right, else 0
    rail : (M,) [mm] height at the axis of the line that art keeps above: the handrail's with its margin, else NaN
    carry, utmost : (M,) [kg] what two ordinary, and two specialist, fixings hold in this wall
    fire_top, hot_top : (M,) [mm] top of a fire's opening, of a radiator or hob below; NaN where there is none
    fire_assumed : (M,) bool, only the top of the mantel is known
    damp, below : (M,) index into `surroundings.DAMP`, `surroundings.BELOW`
    sun_hours : (M,) full-sun hours of a year, NaN where not known; sun_assumed : (M,) bool
    window_gap : (M,) [mm] to the nearest window on the same wall, NaN where there is none
    allowed_depth : (M,) [mm] how far a piece may stand out, infinite where no public passes
    way : (M,) [mm] width of a public way, infinite where it is not known or no public passes
    standing : (M, S, 4) [mm] left, bottom, right, top of the lamps and objects that stand before the space, NaN beyond
        the last; lamp : (M, S) bool, which of them are lamps; things : the items themselves
    reasons : (M, R) bool, why a wall might stay bare, columns as `surroundings.REASONS`
    """

    works: tuple[Work, ...]
    spaces: tuple[Space, ...]
    walls: tuple[Wall, ...]
    bearers: tuple[Item | None, ...]
    things: tuple[tuple[Item, ...], ...]
    width: Array
    height: Array
    depth: Array
    proportion: Array
    form: Array
    light: Array
    weight: Array
    weighed: Mask
    glazed: Mask
    hardware_known: Mask
    kind: Array
    shape: Array
    left: Array
    bottom: Array
    right: Array
    top: Array
    axis: Array
    basis: Array
    bearer_top: Array
    datum: Array
    slope: Array
    rail: Array
    carry: Array
    utmost: Array
    fire_top: Array
    fire_assumed: Mask
    hot_top: Array
    damp: Array
    below: Array
    sun_hours: Array
    sun_assumed: Mask
    window_gap: Array
    allowed_depth: Array
    way: Array
    standing: Array
    lamp: Mask
    reasons: Mask

    @property
    def size(self) -> tuple[int, int]:
        """(N, M)."""
        return len(self.width), len(self.left)

    @cached_property
    def over_furniture(self) -> Mask:
        """(M,) the spaces above a bearer."""
        return np.asarray(self.kind == KINDS.index("over_furniture"))

    def is_kind(self, *kinds: str) -> Mask:
        """(M,) the spaces of these kinds."""
        return np.isin(self.kind, [KINDS.index(kind) for kind in kinds])

    def take(self, works: Index | None = None, spaces: Index | None = None) -> Scene:
        """The same scene with some works or spaces only; slices give views.

        Raises:
            IndexError: an index beyond N or M.
        """
        changes: dict[str, Any] = {}
        for index, names in ((works, WORK_FIELDS), (spaces, SPACE_FIELDS)):
            if index is not None:
                changes |= {name: _pick(getattr(self, name), index) for name in names}
        return dataclasses.replace(self, **changes)

    def figures(self) -> Scene:
        """The same arrays without the objects behind them: lighter to slice in a search over very many."""
        return dataclasses.replace(self, works=(), spaces=(), walls=(), bearers=(), things=())

    def as_type(self, dtype: npt.DTypeLike) -> Scene:
        """The same scene with every float array in `dtype`."""
        arrays = {name: getattr(self, name) for name in ARRAY_FIELDS}
        floats = {
            name: array.astype(dtype) for name, array in arrays.items() if np.issubdtype(array.dtype, np.floating)
        }
        return dataclasses.replace(self, **floats)


_TUPLES = ("works", "spaces", "walls", "bearers", "things")
WORK_FIELDS = (
    "works",
    "width",
    "height",
    "depth",
    "proportion",
    "form",
    "light",
    "weight",
    "weighed",
    "glazed",
    "hardware_known",
)
SPACE_FIELDS = tuple(one.name for one in dataclasses.fields(Scene) if one.name not in WORK_FIELDS)
ARRAY_FIELDS = tuple(one.name for one in dataclasses.fields(Scene) if one.name not in _TUPLES)


def _pick(value: Any, index: Index) -> Any:
    if not isinstance(value, tuple):
        return value[index]
    if not value or isinstance(index, slice):
        return value[index] if value else value
    return tuple(value[int(i)] for i in index)


@dataclass(frozen=True)
class Pairs:
    """Pieces at their places.

    bottom_edge : (N, M) [mm]
    overhang : (N, M) [mm] by how much a piece sticks out of the free rectangle, zero or less where it fits
    hung_centre : (N, M) [mm] middle across where the pieces hang already; None where each has its best place
    """

    scene: Scene
    bottom_edge: Array
    overhang: Array
    hung_centre: Array | None = None

    @property
    def width(self) -> Array:
        """(N, 1) [mm]."""
        return self.scene.width[:, None]

    @property
    def height(self) -> Array:
        """(N, 1) [mm]."""
        return self.scene.height[:, None]

    @cached_property
    def middle(self) -> Array:
        """(N, M) [mm] height of the vertical centre above the floor, or above the tread below it."""
        raised: Array = self.bottom_edge + self.height * 0.5
        if self.scene.datum.any() or self.scene.slope.any():
            raised -= np.maximum(self.scene.datum + self.scene.slope * (self.centre - self.scene.axis), 0)
        return raised

    def take(self, columns: Index) -> Pairs:
        """The same pieces in some of the spaces."""
        hung = None if self.hung_centre is None else self.hung_centre[:, columns]
        return Pairs(self.scene.take(spaces=columns), self.bottom_edge[:, columns], self.overhang[:, columns], hung)

    @cached_property
    def centre(self) -> Array:
        """(N, M) [mm] middle across, (1, M) where it is the same for every piece."""
        return best_centre(self.scene) if self.hung_centre is None else self.hung_centre

    @cached_property
    def left_edge(self) -> Array:
        """(N, M) [mm]."""
        return self.centre - self.width * 0.5


def build_scene(house: House, spaces: Sequence[Space], margins: Margins = DEFAULT_MARGINS) -> Scene:
    """Lay the house's works and the given spaces out as arrays, float64.

    margins : what a handrail keeps clear; other margins are off the spaces already

    Raises:
        InvalidHouse: a space on a wall that the house does not have, or over an item that the wall does not have.
    """
    works = house.works
    walls, bearers = [], []
    for space in spaces:
        wall = house.wall_by_id.get(space.wall)
        if wall is None:
            raise InvalidHouse(f"space {space.id!r} is on wall {space.wall!r}, which the house does not have")
        walls.append(wall)
        bearers.append(_bearer(space, wall))
    things = tuple(standing_before(wall, space.reach) for wall, space in zip(walls, spaces, strict=True))
    return Scene(
        works=works,
        spaces=tuple(spaces),
        walls=tuple(walls),
        bearers=tuple(bearers),
        things=things,
        **_standing(things),
        **_of_works(works),
        **_of_spaces(spaces, walls, bearers, margins),
        **_around(house, walls, spaces, bearers),
    )


def _of_works(works: Sequence[Work]) -> dict[str, Array]:
    width, height = _floats(w.width for w in works), _floats(w.height for w in works)
    weights = [estimated_weight(work) for work in works]
    return {
        "width": width,
        "height": height,
        "depth": _floats(w.depth for w in works),
        "proportion": width / height,
        "form": _codes((w.form for w in works), FORMS),
        "light": _codes((w.light for w in works), LIGHT_CLASSES),
        "weight": _floats(one.high_kg for one in weights),
        "weighed": np.array([not one.estimated for one in weights], dtype=bool),
        "glazed": np.array([w.glazed for w in works], dtype=bool),
        "hardware_known": np.array([w.hang is not None for w in works], dtype=bool),
    }


def _of_spaces(
    spaces: Sequence[Space], walls: Sequence[Wall], bearers: Sequence[Item | None], margins: Margins
) -> dict[str, Array]:
    lines = [_line(space, wall, margins) for space, wall in zip(spaces, walls, strict=True)]
    return {
        "kind": _codes((s.kind for s in spaces), KINDS),
        "shape": _codes((s.shape for s in spaces), SHAPES),
        "left": _floats(s.reach.left for s in spaces),
        "bottom": _floats(s.reach.bottom for s in spaces),
        "right": _floats(s.reach.right for s in spaces),
        "top": _floats(s.reach.top for s in spaces),
        "axis": _floats(axis_of(s, b) for s, b in zip(spaces, bearers, strict=True)),
        "basis": _floats(s.width_basis for s in spaces),
        "bearer_top": _floats(b.rect.top if b else math.nan for b in bearers),
        "datum": _floats(line.datum for line in lines),
        "slope": _floats(line.slope for line in lines),
        "rail": _floats(line.rail for line in lines),
    }


def _standing(things: Sequence[Sequence[Item]]) -> dict[str, Array]:
    most = max(map(len, things), default=0)
    standing, lamp = np.full((len(things), most, 4), math.nan), np.zeros((len(things), most), dtype=bool)
    for j, here in enumerate(things):
        for k, one in enumerate(here):
            standing[j, k] = one.left, one.bottom, one.rect.right, one.rect.top
            lamp[j, k] = one.kind == "table_lamp"
    return {"standing": standing, "lamp": lamp}


def _around(
    house: House, walls: Sequence[Wall], spaces: Sequence[Space], bearers: Sequence[Item | None]
) -> dict[str, Array]:
    around = [surroundings(house, *one) for one in zip(walls, spaces, bearers, strict=True)]
    floats = ("fire_top", "hot_top", "sun_hours", "window_gap", "allowed_depth", "way")
    flags = ("fire_assumed", "sun_assumed")
    found: dict[str, Array] = {name: _floats(getattr(one, name) for one in around) for name in floats}
    found |= {name: np.array([getattr(one, name) for one in around], dtype=bool) for name in flags}
    return found | {
        "carry": _floats(one.carry_kg for one in around),
        "utmost": _floats(one.utmost_kg for one in around),
        "damp": np.array([one.damp for one in around], dtype=np.int8),
        "below": np.array([one.below for one in around], dtype=np.int8),
        "reasons": np.array([one.reasons for one in around], dtype=bool).reshape(len(around), len(REASONS)),
    }


class _Line(NamedTuple):
    """The line of the nosings and what the handrail keeps clear at the middle of a space [mm], and their rise."""

    datum: float = 0.0
    slope: float = 0.0
    rail: float = math.nan


def _line(space: Space, wall: Wall, margins: Margins) -> _Line:
    if space.kind != "stair" or not climbs(wall.rail):
        return _Line()
    height = rail_at(wall.rail, space.rect.centre_x)
    return _Line(height - RAIL_HEIGHT_MM, slope_of(wall.rail), height + margins.rail)


def placed(scene: Scene, left: Array, bottom: Array, intrusion: Array | None = None) -> Pairs:
    """Pieces hung at given places.

    left, bottom : broadcastable to (N, M) [mm]
    intrusion : (N, M) [mm] how far each reaches into what stands within the space; None where nothing does
    """
    width, height = scene.width[:, None], scene.height[:, None]
    left, bottom = np.atleast_2d(left), np.atleast_2d(bottom)
    centre = left + width * 0.5
    across = (scene.left - left, left + width - scene.right, width - (scene.right - scene.left))
    upward = (scene.bottom - bottom, bottom + height - scene.top, height - (scene.top - scene.bottom))
    overhang = np.maximum.reduce(np.broadcast_arrays(*across, *upward))
    if not np.isnan(scene.rail).all():
        overhang = np.fmax(overhang, rail_line(scene, centre) - bottom)
    if intrusion is not None:
        overhang = np.maximum(overhang, intrusion)
    return Pairs(scene, bottom, overhang, centre)


def best_centre(scene: Scene) -> Array:
    """(N, M) [mm] the axis, or as near to it as the free rectangle lets a piece; (1, M) where all keep it."""
    middle = (scene.left + scene.right) / 2
    widest = scene.width.max(initial=0.0) * 0.5
    room = np.minimum(scene.axis - scene.left, scene.right - scene.axis)
    if ((scene.axis == middle) | (room >= widest)).all():
        return scene.axis[None, :]
    half = scene.width[:, None] * 0.5
    low, high = scene.left + half, scene.right - half
    kept: Array = np.where(low > high, middle, np.minimum(np.maximum(scene.axis, low), high))
    return kept


def rail_line(scene: Scene, centre: Array) -> Array:
    """(N, M) [mm] lowest bottom edge that keeps a piece's uphill corner clear of the handrail; NaN without a rail."""
    line: Array = scene.rail + scene.slope * (centre - scene.axis) + np.abs(scene.slope) * (scene.width[:, None] * 0.5)
    return line


def bearer_name(bearer: Item | None) -> str:
    """What a sentence calls the furniture: "the sofa"."""
    return "the furniture" if bearer is None else f"the {small(bearer.name)}"


def _bearer(space: Space, wall: Wall) -> Item | None:
    bearer = wall.item(space.over)
    if bearer is None and space.over is not None:
        raise InvalidHouse(f"space {space.id!r} is over {space.over!r}, which wall {wall.id!r} does not have")
    return bearer


def axis_of(space: Space, bearer: Item | None) -> float:
    """The bearer's middle where its whole length counts, else the middle of the free stretch [mm]."""
    whole = bearer is not None and is_whole(bearer, space.width_basis)
    return bearer.rect.centre_x if bearer is not None and whole else space.rect.centre_x


def is_whole(bearer: Item, basis: float) -> bool:
    """Whether a width [mm] that two-thirds measures against is the bearer's whole length."""
    return abs(basis - bearer.width) < 1.0


def _floats(values: Any) -> Array:
    return np.fromiter(values, dtype=np.float64)


def _codes(values: Any, names: Sequence[str]) -> Array:
    return np.fromiter((names.index(value) for value in values), dtype=np.int8)
