"""Groups as columns of a project's plan: quick, regular groups for one space.

Rows, columns, grids, blocks between wings, pairs, trios with the largest in the middle, and whole sets; all of a
space's candidates are scored as batches, so that a plan over many spaces can afford them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, zip_longest

import numpy as np

from ..house import Work
from ..results import Hanging, Space
from .boxes import BOTTOM, LEFT, Floats
from .choose import ODD_FORMS
from .forms import SAME_SIZE_MM, Form
from .measures import measure_batch
from .regular import in_reading_order, regular
from .score import place_terms, rail_term, shape_terms, weigh
from .sequence import hanging_order
from .setting import GroupLimits, Setting, Site, setting_of
from .unity import unity

#: Most pieces that hang as one group.
MOST_PIECES = 30
#: Forms of one cast that are scored in a space, and larger pieces that are tried between two of one size.
_FORMS, _MIDDLES = 3, 6


@dataclass(frozen=True, slots=True)
class GroupColumn:
    """One group that may hang in a space. works: ids. hangings: in the order of hanging. value: score 0-100."""

    space: str
    form: Form
    works: tuple[str, ...]
    hangings: tuple[Hanging, ...]
    value: float


@dataclass(frozen=True, slots=True)
class _Shape:
    """Sizes (k, 2) in reading order, and the casts that have them with how well each holds together, best first."""

    sizes: Floats
    casts: tuple[tuple[tuple[Work, ...], float], ...]


class GroupCasts:
    """Casts of works that could hang as a regular group anywhere; made once for a project.

    works: free works; a set (works that share a `set_name`) is cast whole or not at all.
    """

    def __init__(self, works: Sequence[Work]) -> None:
        alone = [w for w in works if not w.set_name]
        sets: dict[str, list[Work]] = defaultdict(list)
        for work in works:
            if work.set_name:
                sets[work.set_name].append(work)
        found: dict[frozenset[str], tuple[Work, ...]] = {}
        for members in sets.values():
            if 2 <= len(members) <= MOST_PIECES:
                found.setdefault(frozenset(w.id for w in members), tuple(members))
        classes = _one_size(alone)
        for cast in (*_runs(classes), *_trios(classes, alone)):
            found.setdefault(frozenset(w.id for w in cast), cast)
        shapes: dict[bytes, list[tuple[tuple[Work, ...], float]]] = defaultdict(list)
        sizes_of: dict[bytes, Floats] = {}
        for cast in found.values():
            cast = in_reading_order(cast)
            sizes = np.array([(w.width, w.height) for w in cast])
            key = np.round(sizes, 1).tobytes()
            sizes_of.setdefault(key, sizes)
            shapes[key].append((cast, unity(cast).score))
        self.shapes = [
            _Shape(sizes_of[key], tuple(sorted(casts, key=lambda c: (-c[1], [w.id for w in c[0]]))))
            for key, casts in shapes.items()
        ]


def _one_size(works: Sequence[Work]) -> list[list[Work]]:
    """Works grouped by size (and apart by form where forms do not mix), each list in order of id."""
    classes: dict[tuple[int, int, str], list[Work]] = defaultdict(list)
    for work in sorted(works, key=lambda w: w.id):
        kind = work.form if work.form in ODD_FORMS else ""
        classes[round(work.width / SAME_SIZE_MM), round(work.height / SAME_SIZE_MM), kind].append(work)
    return [members for members in classes.values() if len(members) > 1]


def _bonded(works: Sequence[Work]) -> Iterator[list[Work]]:
    """Those of the works that share a frame colour, a theme or a form, two or more at a time."""
    shared: dict[tuple[str, str], list[Work]] = defaultdict(list)
    for work in works:
        if work.frame:
            shared["frame", work.frame.lower()].append(work)
        for theme in work.themes:
            shared["theme", theme.lower()].append(work)
        shared["form", work.form].append(work)
    for key in sorted(shared):
        if len(shared[key]) > 1:
            yield shared[key]


def _runs(classes: list[list[Work]]) -> Iterator[tuple[Work, ...]]:
    """Works of one size and bond, so many at a time: each in one cast of each count, the last ones in a further one."""
    for members in classes:
        for bonded in _bonded(members):
            for count in range(2, min(MOST_PIECES, len(bonded)) + 1):
                starts = {*range(0, len(bonded) - count + 1, count), len(bonded) - count}
                for start in sorted(starts):
                    yield tuple(bonded[start : start + count])


def _trios(classes: list[list[Work]], alone: Sequence[Work]) -> Iterator[tuple[Work, ...]]:
    """A larger piece between two of one size that share a bond with it."""
    for members in classes:
        for bonded in _bonded(members):
            pair = bonded[:2]
            area = pair[0].width * pair[0].height
            larger = [w for w in alone if w.form not in ODD_FORMS and 1.2 * area < w.width * w.height < 4 * area]
            mates = [w for w in larger if unity((*pair, w)).score == 1]
            for middle in sorted(mates, key=lambda w: w.id)[:_MIDDLES]:
                yield (pair[0], middle, pair[1])


def group_columns(
    space: Space,
    casts: GroupCasts,
    *,
    site: Site | None = None,
    most: int = 40,
) -> list[GroupColumn]:
    """The best groups for a space, best first.

    Args:
        casts: made once from the project's free works.
        site: the house's limits and what stands there; a bare wall under the default rules where None.
        most: how many columns to return.
    """
    site = site or Site.plain()
    limits = site.limits
    setting = setting_of(space, site)
    by_count: dict[int, list[tuple[Form, Floats, _Shape]]] = defaultdict(list)
    for shape in casts.shapes:
        for form, boxes in regular(shape.sizes, setting, limits, _FORMS):
            by_count[len(boxes)].append((form, boxes, shape))
    found = [_best_of(group, setting, limits) for group in by_count.values()]
    found.sort(key=lambda columns: -columns[0].value)
    # The best of each count come before the second best of any, so that many small groups do not crowd out a large one.
    taken = [one for one in chain.from_iterable(zip_longest(*found)) if one is not None][:most]
    return sorted(taken, key=lambda one: (-one.value, one.form, one.works))


def _best_of(group: Sequence[tuple[Form, Floats, _Shape]], setting: Setting, limits: GroupLimits) -> list[GroupColumn]:
    """Groups of so many pieces, best first, one for each cast."""
    boxes = np.stack([one for _, one, _ in group])
    at = [index for index, (_, _, shape) in enumerate(group) for _ in shape.casts]
    casts = [cast for _, _, shape in group for cast in shape.casts]
    terms = {name: value[at] for name, value in _terms(boxes, boxes.shape[1], setting, limits).items()}
    values = weigh(terms | {"unity": np.array([bond for _, bond in casts])}).tolist()
    ranked = sorted(zip(values, at, casts, strict=True), key=lambda one: (-one[0], group[one[1]][0], _ids(one[2][0])))
    seen: set[tuple[str, ...]] = set()
    columns = []
    for value, index, (works, _) in ranked:
        if _ids(works) not in seen:
            seen.add(_ids(works))
            columns.append(_column(group[index][0], works, boxes[index], value, setting))
    return columns


def _ids(works: Sequence[Work]) -> tuple[str, ...]:
    return tuple(work.id for work in works)


def _column(form: Form, works: Sequence[Work], boxes: Floats, value: float, setting: Setting) -> GroupColumn:
    hangings = tuple(
        Hanging(works[i].id, setting.space.wall, float(boxes[i, LEFT]), float(boxes[i, BOTTOM]), at)
        for at, i in enumerate(hanging_order(boxes).tolist(), start=1)
    )
    return GroupColumn(setting.space.id, form, tuple(one.work for one in hangings), hangings, value)


def _terms(boxes: Floats, count: int, setting: Setting, limits: GroupLimits) -> dict[str, Floats]:
    seen = setting.seen(boxes)
    batch = measure_batch(seen, gap_band_mm=limits.gap_band(count), gap_mm=limits.gap)
    terms = shape_terms(batch, limits, count) | place_terms(batch.outline, setting)
    if setting.rail is not None:
        terms["rail-line"] = np.array([rail_term(one, setting) for one in boxes])
        for name in ("outline", "fullness", "alignment"):
            del terms[name]
    return terms
