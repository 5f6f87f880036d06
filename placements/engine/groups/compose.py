"""Compose a group for a space: choose pieces, lay them out in every form that suits, rank what is clearly different."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linear_sum_assignment

from ..house import Work
from ..results import Space, Words
from .boxes import Floats, clusters
from .choose import Cast, mixed_casts, one_size_casts
from .forms import Form
from .layout import GroupLayout, finished
from .measures import overlap_area
from .mixed import Edge, Stop, salons
from .regular import in_reading_order, regular
from .setting import GroupLimits, Setting, Site, setting_of
from .unity import unity

#: A mean shift of the pieces below this share of the outline is the same layout to the eye.
_SAME_LAYOUT = 0.12
#: Sizes whose sides differ by less than this (logarithm) change places unnoticed.
_ALIKE = 0.2
#: A form in the list already counts this much less for each time it is there.
_REPEAT = 10.0
#: Layouts that score this much below the best are not worth a look.
_WORSE = 30.0
_MOST_PIECES = 30
_SALON_CASTS = 3
#: Regular forms of one cast that are measured in full.
_FORMS = 6

Progress = Callable[[float], None]
Candidate = tuple[Form, tuple[Work, ...], Floats]


@dataclass(frozen=True, slots=True)
class Composed:
    """Layouts, best first, clearly different from one another.

    stopped: whether the caller's safety stop ended the search early (the answer then depends on the machine).
    why_none: in words, why there is no layout; empty where there is one.
    """

    layouts: tuple[GroupLayout, ...]
    stopped: bool = False
    why_none: str = ""


def compose(
    space: Space,
    pool: Sequence[Work],
    *,
    site: Site | None = None,
    pins_in: Iterable[str] = (),
    pins_out: Iterable[str] = (),
    hang_all: bool = False,
    count: tuple[int, int] = (2, 12),
    edge: Edge = "rectangle",
    seed: int = 0,
    most: int = 6,
    progress: Progress = lambda _: None,
    stop: Stop = lambda: False,
    words: Words | None = None,
) -> Composed:
    """Compose clearly different layouts of works of the pool for a space.

    Args:
        pool: the works to choose from.
        site: the house's limits and what stands there; a bare wall under the default rules where None.
        pins_in, pins_out: ids that every layout holds, or none; a set comes and goes as a whole.
        hang_all: hang the whole pool (a chosen set) instead of choosing from it.
        count: fewest and most pieces.
        edge: how the outer edges of an arrangement of mixed sizes read.
        seed: the same seed gives the same answer.
        most: how many layouts to return.
        progress: called with the share of the work done, 0-1.
        stop: asked between rounds; True ends the search with the best so far.

    Raises:
        ValueError: a pin that is not in the pool, or pinned both ways.
    """
    site = site or Site.plain()
    limits = site.limits
    works, pinned = _pinned(pool, pins_in, pins_out, hang_all)
    setting = setting_of(space, site)
    rng = np.random.default_rng(seed)
    if len(works) < 2:
        return Composed((), why_none="a group needs at least two works to choose from")
    counts = (len(works), len(works)) if hang_all else (max(2, count[0]), min(count[1], len(works), _MOST_PIECES))
    fault = _cannot(works, setting, limits, hang_all)
    if fault:
        return Composed((), why_none=fault)

    even, mixed = _casts(works, setting, limits, counts, pinned, hang_all, rng)
    candidates = [c for cast in (*even, *mixed) for c in _regular(cast, setting, limits)]
    mixtures = [] if setting.rail is not None else [cast for cast in mixed if _is_mixture(cast, setting)]
    stopped = False
    for at, cast in enumerate(mixtures[:_SALON_CASTS], start=1):
        stopped = stopped or stop()
        if stopped and candidates:
            break
        found = salons(cast.works, setting, limits, rng, edge, stop)
        candidates += [("salon", cast.works, boxes) for boxes in found]
        stopped = stopped or stop()
        progress(at / min(len(mixtures), _SALON_CASTS))
    progress(1.0)
    layouts = [
        finished(form, cast_works, boxes, setting, limits, words=words)
        for form, cast_works, boxes in candidates
        if setting.inside(boxes) and overlap_area(boxes[None])[0] < 1e-3 and len(clusters(boxes)) == 1
    ]
    ranked = clearly_different(layouts, {w.id: w for w in works}, most)
    why_none = "" if ranked else "no arrangement of these works fits the space with the wanted gaps"
    return Composed(tuple(ranked), stopped, why_none)


def _is_mixture(cast: Cast, setting: Setting) -> bool:
    return len(cast.works) > (2 if len(setting.blocks) else 3) and not cast.one_size


def _pinned(
    pool: Sequence[Work], pins_in: Iterable[str], pins_out: Iterable[str], hang_all: bool
) -> tuple[list[Work], frozenset[str]]:
    """The works that may hang, in a stable order, and the ids that must."""
    ids = {w.id for w in pool}
    inside, outside = frozenset(pins_in), frozenset(pins_out)
    if strangers := sorted((inside | outside) - ids):
        raise ValueError(f"pinned works are not in the pool: {', '.join(strangers)}")
    if both := sorted(inside & outside):
        raise ValueError(f"works pinned both in and out: {', '.join(both)}")
    broken = {w.set_name for w in pool if w.id in outside and w.set_name}
    if torn := sorted(w.id for w in pool if w.id in inside and w.set_name in broken):
        raise ValueError(f"works pinned in whose set is pinned out: {', '.join(torn)}")
    kept = sorted(
        (w for w in pool if w.id not in outside and (w.set_name not in broken or not w.set_name)), key=lambda w: w.id
    )
    return kept, frozenset(w.id for w in kept) if hang_all else inside


def _cannot(works: Sequence[Work], setting: Setting, limits: GroupLimits, hang_all: bool) -> str:
    """Why these works cannot hang here whatever the layout, in words; empty where they may."""
    room = setting.bounds
    if not hang_all:
        if not any(w.width <= room.width and w.height <= room.height for w in works):
            return "every work is larger than the space"
        return ""
    wide = [w.title for w in works if w.width > room.width or w.height > room.height]
    if wide:
        return f"larger than the space: {', '.join(wide)}"
    need = sum((w.width + limits.gap_low) * (w.height + limits.gap_low) for w in works)
    have = (room.width + limits.gap_low) * (room.height + limits.gap_low)
    have -= float(np.prod(setting.blocks[:, 2:] - setting.blocks[:, :2], axis=1).sum())
    return f"these works with their gaps cover {need / have:.0%} of the space: choose fewer" if need > have else ""


def _casts(
    works: list[Work],
    setting: Setting,
    limits: GroupLimits,
    counts: tuple[int, int],
    pinned: frozenset[str],
    hang_all: bool,
    rng: np.random.Generator,
) -> tuple[list[Cast], list[Cast]]:
    """Casts of one size, and casts of mixed sizes."""
    if hang_all:
        cast = Cast(tuple(works), unity(works))
        return ([cast], []) if cast.one_size else ([], [cast])
    even = one_size_casts(works, counts, pinned)[:24]
    aim_w, aim_h = setting.aim
    low = (setting.width[0] + limits.gap) * (setting.height[0] + limits.gap) * 0.7
    high = (min(setting.width[1], aim_w * 1.2) + limits.gap) * (min(setting.height[1], aim_h * 1.2) + limits.gap) * 0.92
    mixed: list[Cast] = []
    for fewest, highest in ((2, 3), (4, 6), (5, counts[1])):
        span = max(fewest, counts[0]), min(highest, counts[1])
        if span[0] > span[1]:
            continue
        mixed += mixed_casts(
            works,
            counts=span,
            area_mm2=(low * (0.5 if highest == 3 else 1.0), high),
            gap=limits.gap,
            widest=(setting.bounds.width, setting.bounds.height),
            pinned=pinned,
            rng=rng,
            most=4,
        )
    mixed = [c for c in mixed if not c.one_size]
    return even, sorted(mixed, key=lambda c: -(c.bond.score + 0.03 * len(c.works)))


def _regular(cast: Cast, setting: Setting, limits: GroupLimits) -> list[Candidate]:
    """The regular forms of a cast."""
    works = in_reading_order(cast.works)
    sizes = np.array([(w.width, w.height) for w in works])
    return [(form, works, boxes) for form, boxes in regular(sizes, setting, limits, _FORMS)]


def clearly_different(layouts: Sequence[GroupLayout], work_by_id: dict[str, Work], most: int) -> list[GroupLayout]:
    """Layouts, best first, leaving out any that looks like one taken before (mirrored or not).

    A form that is in the list already must be better by `_REPEAT` points for each time to come in again, so that the
    list shows different ideas and not six good pairs.
    """
    taken: list[GroupLayout] = []
    # Of equally good ones the plainer form comes first.
    left = sorted(layouts, key=lambda one: (-round(one.score, 1), one.form == "salon", one.form, one.works))
    left = [one for one in left if one.score >= left[0].score - _WORSE]
    while left and len(taken) < most:
        best = max(left, key=lambda one: one.score - _REPEAT * sum(t.form == one.form for t in taken))
        taken.append(best)
        left = [one for one in left if one is not best and _looks_different(one, best, work_by_id)]
    return sorted(taken, key=lambda one: -one.score)


def _looks_different(one: GroupLayout, other: GroupLayout, work_by_id: dict[str, Work]) -> bool:
    if set(one.works) != set(other.works):
        shared = len(set(one.works) & set(other.works))
        return one.form != other.form or shared <= 0.8 * max(len(one.works), len(other.works))
    first, second = _seen(one, work_by_id), _seen(other, work_by_id)
    unlike = np.abs(np.log(first[:, None, 2:] / second[None, :, 2:])).max(axis=2) > _ALIKE
    shifts = []
    for mirror in ((1, 1), (-1, 1), (1, -1), (-1, -1)):
        apart = np.hypot(*(first[:, None, :2] - second[None, :, :2] * mirror).transpose(2, 0, 1)) + 10.0 * unlike
        shifts.append(apart[linear_sum_assignment(apart)].mean())
    return bool(min(shifts) > _SAME_LAYOUT)


def _seen(layout: GroupLayout, work_by_id: dict[str, Work]) -> Floats:
    """(k, 4) each piece's middle from the outline's middle, in outline widths and heights, and its size [mm]."""
    out = layout.measures.outline
    pieces = [(h, work_by_id[h.work]) for h in layout.hangings]
    return np.array(
        [
            (
                (h.left + w.width / 2 - out.centre_x) / out.width,
                (h.bottom + w.height / 2 - out.centre_y) / out.height,
                w.width,
                w.height,
            )
            for h, w in pieces
        ]
    )
