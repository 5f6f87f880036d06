"""Edit a group: each operation takes a layout and returns a new one, measured; nothing is changed in place.

Undo and redo are the caller's list of layouts. Locked pieces never move; the others give way as little as they can.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..house import Work
from ..results import Hanging, Space, Words
from .boxes import LEFT, RIGHT, Floats, boxes_hung, neighbour_gaps, outline_of
from .construct import Aim, Ground, place_one
from .forms import Form
from .layout import GroupLayout, finished
from .setting import GroupLimits, Setting, Site, rail_height, setting_of
from .settle import NoRoom, Wish, settle

#: A dragged piece that cannot stay exactly where it was dropped yields at this cost, against 1 for the others.
_DRAGGED = 25.0


@dataclass(frozen=True, slots=True)
class GroupScene:
    """What an edit needs to know: the space in numbers, the house's numbers, the works by id, the reader's units."""

    setting: Setting
    limits: GroupLimits
    work_by_id: Mapping[str, Work]
    words: Words | None = None

    @classmethod
    def of(
        cls,
        space: Space,
        works: Iterable[Work],
        *,
        site: Site | None = None,
        words: Words | None = None,
    ) -> GroupScene:
        """A scene from the same arguments as `compose`."""
        site = site or Site.plain()
        return cls(setting_of(space, site), site.limits, {w.id: w for w in works}, words)

    def layout(self, hangings: Sequence[Hanging], form: Form = "salon", locked: Iterable[str] = ()) -> GroupLayout:
        """A stored group as a layout: the start of editing."""
        return self._finish(form, [h.work for h in hangings], boxes_hung(hangings, self.work_by_id), frozenset(locked))

    def _finish(self, form: Form, ids: Sequence[str], boxes: Floats, locked: frozenset[str]) -> GroupLayout:
        works = [self.work_by_id[i] for i in ids]
        made = finished(form, works, boxes, self.setting, self.limits, words=self.words)
        return dataclasses.replace(made, locked=locked & set(ids))

    def _wish(self, pieces: int) -> Wish:
        limits, bounds, rail = self.limits, self.setting.bounds, self.setting.rail
        low, high = limits.gap_band(pieces)
        return Wish(
            low,
            high,
            limits.gap,
            bounds=(bounds.left, bounds.bottom, bounds.right, bounds.top),
            blocks=self.setting.blocks,
            floor=None if rail is None else lambda boxes: rail_height(boxes, rail) + limits.rail,
        )


def remove(layout: GroupLayout, work: str, scene: GroupScene) -> GroupLayout:
    """Take a piece out; the pieces that faced each other across it close up (a grid keeps its empty cell)."""
    ids, boxes = _read(layout, scene)
    gone = _index(ids, work)
    if len(ids) == 1:
        raise ValueError("the last piece of a group cannot be taken out: leave the space bare instead")
    before = {(ids[i], ids[j]) for i, j in _faced(boxes)}
    ids.pop(gone)
    boxes = np.delete(boxes, gone, axis=0)
    pull = frozenset((i, j) for i, j in _faced(boxes) if (ids[i], ids[j]) not in before)
    if layout.form != "grid" and len(ids) > 1:
        wish = dataclasses.replace(scene._wish(len(ids)), pull=pull)
        boxes = settle(boxes, wish, stay=_stay(ids, layout.locked))
    return scene._finish(layout.form, ids, _recentred(boxes, ids, layout, scene), layout.locked)


def swap(layout: GroupLayout, one: str, other: str, scene: GroupScene) -> GroupLayout:
    """Exchange two pieces, middle for middle, and let the rest settle round them."""
    ids, boxes = _read(layout, scene)
    i, j = _index(ids, one), _index(ids, other)
    for name in (one, other):
        _must_be_free(layout, name)
    middle = (boxes[:, :2] + boxes[:, 2:]) / 2
    half = (boxes[:, 2:] - boxes[:, :2]) / 2
    middle[[i, j]] = middle[[j, i]]
    moved = np.concatenate([middle - half, middle + half], axis=1)
    if len(ids) > 1:
        moved = settle(moved, scene._wish(len(ids)), stay=_stay(ids, layout.locked), rounds=3)
    return scene._finish(layout.form, ids, _recentred(moved, ids, layout, scene), layout.locked)


def add(layout: GroupLayout, work: str, scene: GroupScene) -> GroupLayout:
    """Add a piece where it meets its neighbours best; the pieces already there stay.

    Raises:
        ValueError: the piece hangs in the group already, or is unknown.
        NoRoom: no place within the space touches the group without overlap.
    """
    ids, boxes = _read(layout, scene)
    if work in ids:
        raise ValueError(f"work {work!r} hangs in the group already")
    if work not in scene.work_by_id:
        raise ValueError(f"work {work!r} is not among the works to choose from")
    piece = scene.work_by_id[work]
    limits, bounds = scene.limits, scene.setting.bounds
    outline = outline_of(boxes)
    middle = np.tile((outline[:2] + outline[2:]) / 2, 2)
    grow = np.array([-1, -1, 1, 1]) * limits.gap / 2
    room = np.array([bounds.left, bounds.bottom, bounds.right, bounds.top])
    ground = Ground.about(middle, room, scene.setting.blocks, limits.gap_low, limits.gap_high)
    half = np.maximum((outline[2:] - outline[:2]) / 2, 1.0).astype(np.float32) * np.float32(1.1)
    aim = Aim(half[:1], half[1:], np.array([4.0], dtype=np.float32))
    at = place_one(boxes - middle + grow, (piece.width + limits.gap, piece.height + limits.gap), ground, aim)
    if at is None:
        raise NoRoom(f"no place in the space for {piece.title!r} beside the group")
    left, bottom = at[0] + middle[0] + limits.gap / 2, at[1] + middle[1] + limits.gap / 2
    box = np.array([[left, bottom, left + piece.width, bottom + piece.height]])
    ids.append(work)
    form: Form = layout.form if layout.form in ("row", "column", "stair") else "salon"
    return scene._finish(form, ids, np.concatenate([boxes, box]), layout.locked)


def drag(layout: GroupLayout, work: str, left: float, bottom: float, scene: GroupScene) -> GroupLayout:
    """Drop a piece with its lower left corner at (left, bottom) [mm]; the rest gives way and gaps are restored."""
    ids, boxes = _read(layout, scene)
    i = _index(ids, work)
    _must_be_free(layout, work)
    size = boxes[i, 2:] - boxes[i, :2]
    bounds = scene.setting.bounds
    x = min(max(left, bounds.left), bounds.right - size[0])
    y = min(max(bottom, bounds.bottom), bounds.top - size[1])
    boxes[i] = [x, y, x + size[0], y + size[1]]
    stay = _stay(ids, layout.locked)
    stay[i] = _DRAGGED
    if len(ids) > 1:
        boxes = settle(boxes, scene._wish(len(ids)), stay=stay)
    return scene._finish(layout.form, ids, boxes, layout.locked)


def spread(layout: GroupLayout, gap: float, scene: GroupScene) -> GroupLayout:
    """Set the gap between neighbours to `gap` [mm], wider or tighter, keeping the arrangement.

    Raises:
        ValueError: a negative gap.
    """
    if gap < 0:
        raise ValueError("a gap cannot be negative: pieces would overlap")
    ids, boxes = _read(layout, scene)
    if len(ids) > 1:
        slack = min(gap, (scene.limits.gap_high - scene.limits.gap_low) / 2)
        reach = max(0.0, layout.measures.mean_gap_mm - gap) + slack
        middle = (outline_of(boxes)[:2] + outline_of(boxes)[2:]) / 2
        scale = 1 + (gap - layout.measures.mean_gap_mm) / max(1.0, float((boxes[:, 2:] - boxes[:, :2]).mean()))
        locked = np.array([one in layout.locked for one in ids])
        shift = np.where(locked[:, None], 0.0, ((boxes[:, :2] + boxes[:, 2:]) / 2 - middle) * (scale - 1))
        start = boxes + np.tile(shift, 2)
        wish = scene._wish(len(ids))
        wish = dataclasses.replace(
            wish, gap_low=max(0.0, gap - slack), gap_high=gap + slack, gap=gap, join_mm=wish.join_mm + reach
        )
        boxes = settle(start, wish, stay=_stay(ids, layout.locked), rounds=3)
    return scene._finish(layout.form, ids, _recentred(boxes, ids, layout, scene), layout.locked)


def mirror(layout: GroupLayout, scene: GroupScene) -> GroupLayout:
    """Turn the group left for right about its own middle.

    Raises:
        ValueError: a piece is locked.
        NoRoom: on the other hand it would hit what stands there.
    """
    if layout.locked:
        raise ValueError("a group with locked pieces cannot be mirrored: unlock them first")
    ids, boxes = _read(layout, scene)
    left, _, right, _ = outline_of(boxes)
    turned = boxes.copy()
    turned[:, LEFT], turned[:, RIGHT] = left + right - boxes[:, RIGHT], left + right - boxes[:, LEFT]
    if not scene.setting.inside(turned):
        if scene.setting.rail is not None or len(ids) < 2:
            raise NoRoom("mirrored, the group would not fit here")
        turned = settle(turned, scene._wish(len(ids)))
    return scene._finish(layout.form, ids, turned, layout.locked)


def lock(layout: GroupLayout, work: str) -> GroupLayout:
    """Fix a piece where it is; no later edit moves it."""
    _index(list(layout.works), work)
    return dataclasses.replace(layout, locked=layout.locked | {work})


def unlock(layout: GroupLayout, work: str) -> GroupLayout:
    """Let a piece move again."""
    return dataclasses.replace(layout, locked=layout.locked - {work})


def _read(layout: GroupLayout, scene: GroupScene) -> tuple[list[str], Floats]:
    return list(layout.works), boxes_hung(layout.hangings, scene.work_by_id)


def _index(ids: Sequence[str], work: str) -> int:
    if work not in ids:
        raise ValueError(f"work {work!r} does not hang in this group")
    return ids.index(work)


def _must_be_free(layout: GroupLayout, work: str) -> None:
    if work in layout.locked:
        raise ValueError(f"work {work!r} is locked: unlock it to move it")


def _faced(boxes: Floats) -> list[tuple[int, int]]:
    gaps = neighbour_gaps(boxes)
    return list(zip(gaps.first.tolist(), gaps.second.tolist(), strict=True))


def _stay(ids: Sequence[str], locked: frozenset[str]) -> Floats:
    return np.array([np.inf if one in locked else 1.0 for one in ids])


def _recentred(boxes: Floats, ids: Sequence[str], layout: GroupLayout, scene: GroupScene) -> Floats:
    """The group moved as one to where its outline belongs, unless something in it or in the space is fixed."""
    setting = scene.setting
    if layout.locked & set(ids) or len(setting.blocks) or setting.rail is not None:
        return boxes
    left, bottom, right, top = outline_of(boxes)
    x, y = setting.place(np.array([right - left]), np.array([top - bottom]))
    return np.asarray(boxes + np.tile([x[0] - left, y[0] - bottom], 2))
