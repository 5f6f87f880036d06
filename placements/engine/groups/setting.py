"""Where a group hangs: a space turned into the numbers that composing needs."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..arrangement import standing_within
from ..bands import eye_height
from ..geometry import common, from_edges
from ..house import Rail, Rect, Wall
from ..position import kept
from ..results import Space
from ..rulebook import Rulebook
from ..scene import axis_of
from ..stairs import climbs, over_treads, rail_at
from .boxes import BOTTOM, LEFT, RIGHT, TOP, Floats, boxes_of, outline_of


@dataclass(frozen=True, slots=True)
class GroupLimits:
    """The house's numbers for groups [mm], from the rules spacing, eye-line and clearance.

    gap_low, gap_high: between neighbours; gap_high_few where there are at most `few` pieces.
    eye_low, eye_high: height of the group's middle above the floor.
    clearance_low, clearance_high: from a bearer's top to the group's lower edge.
    rail: least height over a stair's handrail.
    """

    gap_low: float
    gap_high: float
    gap_high_few: float
    few: int
    eye_low: float
    eye_high: float
    clearance_low: float
    clearance_high: float
    rail: float

    @classmethod
    def of(cls, rulebook: Rulebook | None = None) -> GroupLimits:
        """The numbers of a house's rulebook, the defaults where None."""
        book = rulebook or Rulebook()
        spacing, eye, clear = (book.limits(name) for name in ("spacing", "eye-line", "clearance"))
        return cls(
            gap_low=spacing.low,
            gap_high=spacing.high,
            gap_high_few=spacing.high_few,
            few=int(spacing.few),
            eye_low=eye.low,
            eye_high=eye.high,
            clearance_low=clear.low,
            clearance_high=clear.high,
            rail=book.margins.rail,
        )

    @property
    def gap(self) -> float:
        """The gap to hang by: the band's middle."""
        return (self.gap_low + self.gap_high) / 2

    def gap_band(self, pieces: int) -> tuple[float, float]:
        """Lowest and highest gap for a group of so many pieces."""
        return self.gap_low, self.gap_high_few if pieces <= self.few else self.gap_high


@dataclass(frozen=True, slots=True)
class Setting:
    """A space in numbers [mm, wall coordinates].

    bounds: no piece may cross them. axis: x on which the group is centred.
    width, height: what the outline should measure, lowest to highest.
    bottom: band for the lower edge, None away from furniture. eye: band for the outline's middle, in a panel the
    panel's own. blocks: (m, 4) what stands within the bounds.
    rail: the handrail, for a stair. over_rail: how far pieces keep above it.
    """

    space: Space
    bounds: Rect
    axis: float
    width: tuple[float, float]
    height: tuple[float, float]
    bottom: tuple[float, float] | None
    eye: tuple[float, float]
    blocks: Floats
    rail: Rail | None = None
    over_rail: float = 0.0

    @property
    def aim(self) -> tuple[float, float]:
        """Width and height of the outline to aim at."""
        return sum(self.width) / 2, sum(self.height) / 2

    def about(
        self, bounds: Rect, axis: float, centre_y: float | None = None, bottom: tuple[float, float] | None = None
    ) -> Setting:
        """The same place with other bounds, centred on other lines.

        Args:
            axis: x of the outline's middle [mm].
            centre_y: height of the outline's middle [mm]; as it was where None.
            bottom: band for the lower edge, which comes before the middle's height.
        """
        eye = self.eye if centre_y is None else (centre_y, centre_y)
        width = min(self.width[0], bounds.width), min(self.width[1], bounds.width)
        height = min(self.height[0], bounds.height), min(self.height[1], bounds.height)
        return dataclasses.replace(self, bounds=bounds, axis=axis, eye=eye, bottom=bottom, width=width, height=height)

    def place(self, width: Floats, height: Floats) -> tuple[Floats, Floats]:
        """Left and bottom of an outline of this size: centred, clearance first, then the eye line, then the bounds.

        Args:
            width, height: (B,) [mm].
        """
        left = np.asarray(self.axis - width / 2)
        bottom = np.asarray(eye_height(*self.eye) - height / 2)
        if self.bottom is not None:
            bottom = np.clip(bottom, *kept(*self.bottom))
        left = np.maximum(np.minimum(left, self.bounds.right - width), self.bounds.left)
        bottom = np.maximum(np.minimum(bottom, self.bounds.top - height), self.bounds.bottom)
        return left, bottom

    def seen(self, boxes: Floats) -> Floats:
        """(..., k, 4) boxes as they stand to who walks by: on a stair over the treads below, else over the floor."""
        return boxes if self.rail is None else over_treads(boxes, self.rail)

    def climbed(self, boxes: Floats) -> Floats:
        """(k, 4) boxes of a run along the handrail's line, raised over it.

        The run's middle comes to the best of the eye line over the treads, as far as the rail and the ceiling leave.
        """
        assert self.rail is not None
        _, low, _, high = outline_of(self.seen(boxes))
        wish = eye_height(*self.eye) - (low + high) / 2
        least = self.over_rail - float(rail_clearance(boxes, self.rail).min())
        raised = max(min(wish, self.bounds.top - float(boxes[:, TOP].max())), least)
        return np.asarray(boxes + raised * np.array([0, 1, 0, 1]))

    def inside(self, boxes: Floats, slack_mm: float = 1e-3) -> bool:
        """Whether (k, 4) boxes lie within the bounds and clear of the blocks and the rail."""
        b = self.bounds
        if (
            boxes[:, LEFT].min() < b.left - slack_mm
            or boxes[:, BOTTOM].min() < b.bottom - slack_mm
            or boxes[:, RIGHT].max() > b.right + slack_mm
            or boxes[:, TOP].max() > b.top + slack_mm
        ):
            return False
        if self.rail is not None and (rail_clearance(boxes, self.rail) < self.over_rail - slack_mm).any():
            return False
        if not len(self.blocks):
            return True
        wide = np.minimum(boxes[:, None, RIGHT], self.blocks[None, :, RIGHT])
        wide -= np.maximum(boxes[:, None, LEFT], self.blocks[None, :, LEFT])
        tall = np.minimum(boxes[:, None, TOP], self.blocks[None, :, TOP])
        tall -= np.maximum(boxes[:, None, BOTTOM], self.blocks[None, :, BOTTOM])
        return not bool(((wide > slack_mm) & (tall > slack_mm)).any())


def rail_height(boxes: Floats, rail: Rail) -> Floats:
    """(k,) height of the handrail line [mm] under each of (k, 4) boxes, where it comes highest.

    The line is taken as going on beyond its ends.
    """
    return np.asarray(np.maximum(*(rail_at(rail, boxes[:, c]) for c in (LEFT, RIGHT))))


def rail_clearance(boxes: Floats, rail: Rail) -> Floats:
    """(k,) height of each piece's lower edge above the handrail line, at the corner that comes nearest [mm]."""
    return np.asarray(boxes[:, BOTTOM] - rail_height(boxes, rail))


@dataclass(frozen=True, slots=True)
class Site:
    """What a group must heed beside its space.

    obstacles: sconces, lamps and the like that stand within the space, each with its keep-clear margin.
    rail: the handrail line, for a stair. axis: x on which to centre [mm]; the space's middle where None.
    bearer_top: height of the furniture below [mm]; the space's lower edge where None.
    """

    limits: GroupLimits
    obstacles: tuple[Rect, ...] = ()
    rail: Rail | None = None
    axis: float | None = None
    bearer_top: float | None = None

    @classmethod
    def plain(cls) -> Site:
        """A bare wall under the default rules."""
        return cls(GroupLimits.of())

    @classmethod
    def on(cls, wall: Wall, space: Space, rulebook: Rulebook) -> Site:
        """The site of a space on its wall under a house's rulebook.

        Over a bearer whose whole length counts, the group is centred on the bearer.
        """
        bearer = wall.item(space.over)
        return cls(
            limits=GroupLimits.of(rulebook),
            obstacles=standing_within(wall, space, rulebook.margins),
            rail=wall.rail if space.kind == "stair" else None,
            axis=axis_of(space, bearer),
            bearer_top=bearer.rect.top if bearer is not None else None,
        )


def setting_of(space: Space, site: Site) -> Setting:
    """The numbers of a space on its site.

    Raises:
        ValueError: a stair space without a rail, or an upright rail.
    """
    limits, rail = site.limits, site.rail
    if space.kind == "stair" and not climbs(rail):
        raise ValueError(
            f"space {space.id!r} is a stair: composing there needs its handrail line, and not an upright one"
        )
    bounds, bottom, eye = space.rect, None, (limits.eye_low, limits.eye_high)
    if space.kind == "panel":
        eye = bounds.centre_y, bounds.centre_y
    if space.kind == "over_furniture":
        top = space.rect.bottom if site.bearer_top is None else site.bearer_top
        bottom = top + limits.clearance_low, top + limits.clearance_high
        lowest = min(max(bounds.bottom, bottom[0]), bounds.top)
        bounds = from_edges(bounds.left, lowest, bounds.right, bounds.top)
    return Setting(
        space=space,
        bounds=bounds,
        axis=space.rect.centre_x if site.axis is None else site.axis,
        width=(min(space.ideal.width[0], bounds.width), min(space.ideal.width[1], bounds.width)),
        height=(min(space.ideal.height[0], bounds.height), min(space.ideal.height[1], bounds.height)),
        bottom=bottom,
        eye=eye,
        blocks=boxes_of(o for o in site.obstacles if common(o, bounds)),
        rail=rail if space.kind == "stair" else None,
        over_rail=limits.rail,
    )
