"""The best few ways to hang given works together in one place: what a planner asks for a cast that it has chosen."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..house import Work
from ..results import Hanging
from .boxes import BOTTOM, LEFT, RIGHT, TOP, Floats, Ints
from .mixed import salons
from .regular import in_reading_order, regular
from .setting import GroupLimits, Setting


def hang_as_one(
    works: Sequence[Work],
    setting: Setting,
    limits: GroupLimits,
    *,
    most: int = 4,
    salon: bool = False,
    seed: int = 0,
) -> tuple[tuple[Hanging, ...], ...]:
    """The best few arrangements of all of these works, as one, in one place.

    Regular forms: a row (level middles, the largest in the middle, equal pieces mirrored), a column, whole grids, a
    block between mirrored wings, a pair or trio with a wider gap where that comes nearer to the wanted width; on a
    stair runs whose middles lie on a line parallel to the rail. Any number of works; the same answer in any order of
    them. None where nothing fits, and a single work as it would hang by itself.

    Args:
        works: all of them hang.
        setting: the place: `setting_of(space, Site.on(wall, space, rulebook))`, or `setting.about(...)` for another
            rectangle, axis or height. Each arrangement is centred on its axis and its eye line, but for what its
            bounds and the band of its lower edge ask.
        limits: the house's gaps (`Site.limits`).
        most: how many to return, the most fitting first.
        salon: also search for arrangements of mixed sizes (seconds, where a regular form takes about a millisecond);
            they come behind the regular forms.
        seed: of that search; the same seed gives the same answer.

    Returns:
        Arrangements, each with its pieces in the order of hanging. None overlaps, leaves the setting's bounds or comes
        nearer to a rail or to what stands there than the margins.
    """
    cast = in_reading_order(works)
    sizes = np.array([(w.width, w.height) for w in cast], dtype=np.float64).reshape(-1, 2)
    if not len(cast):
        return ()
    found = [boxes for _, boxes in regular(sizes, setting, limits, most)]
    if salon and len(cast) > 2 and setting.rail is None:
        found += salons(cast, setting, limits, np.random.default_rng(seed))[:most]
    return tuple(_hung(cast, boxes, setting.space.wall) for boxes in found)


def _hung(works: Sequence[Work], boxes: Floats, wall: str) -> tuple[Hanging, ...]:
    left, bottom = boxes[:, LEFT].tolist(), boxes[:, BOTTOM].tolist()
    order = _from_middle(boxes).tolist()
    return tuple(Hanging(works[i].id, wall, left[i], bottom[i], at) for at, i in enumerate(order, start=1))


def _from_middle(boxes: Floats) -> Ints:
    """Indices from the piece nearest to the outline's middle outwards; of equally near ones the left, the lower first.

    In a regular arrangement each piece then has a neighbour that hangs already, as `sequence.hanging_order` asks.
    """
    middle = (boxes[:, :2] + boxes[:, 2:]) / 2
    low, high = boxes[:, [LEFT, BOTTOM]].min(axis=0), boxes[:, [RIGHT, TOP]].max(axis=0)
    away = np.hypot(*(middle - (low + high) / 2).T)
    return np.lexsort((boxes[:, BOTTOM], boxes[:, LEFT], np.round(away)))
