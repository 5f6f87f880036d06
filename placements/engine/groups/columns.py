"""Groups as columns of a project's plan: quick, regular groups of up to six pieces for one space.

Rows, columns and grids of one size, pairs, trios with the largest in the middle, and whole sets; all of a space's
candidates are laid out and scored as batches, so that a plan over many spaces can afford them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ..house import Work
from ..results import Hanging, Space
from .boxes import BOTTOM, LEFT, RIGHT, TOP, Floats, outline_of
from .choose import ODD_FORMS
from .forms import SAME_SIZE_MM, Form, column, grid, grid_columns, largest_in_middle, row, same_size, stair_run
from .measures import measure_batch
from .score import place_terms, rail_term, shape_terms, weigh
from .sequence import hanging_order
from .setting import GroupLimits, Setting, Site, setting_of
from .unity import unity

MOST_PIECES = 6
#: Works of one size and bond are taken in turn, at most so many starts for each count.
_STARTS = 6
#: A work appears in at most so many columns of a space, so that one good piece does not crowd out the rest.
_EACH = 8


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
    """Sizes (k, 2) from left to right, and the casts that have them with how well each holds together, best first."""

    sizes: Floats
    casts: tuple[tuple[tuple[Work, ...], float], ...]


class GroupCasts:
    """Casts of up to six works that could hang as a regular group anywhere; made once for a project.

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
            sizes = np.array([(w.width, w.height) for w in cast])
            if not same_size(sizes):
                order = largest_in_middle(sizes)
                cast, sizes = tuple(cast[int(i)] for i in order), sizes[order]
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
    for members in classes:
        for bonded in _bonded(members):
            for count in range(2, min(MOST_PIECES, len(bonded)) + 1):
                step = max(1, (len(bonded) - count) // _STARTS + 1)
                for start in range(0, len(bonded) - count + 1, step):
                    yield tuple(bonded[start : start + count])


def _trios(classes: list[list[Work]], alone: Sequence[Work]) -> Iterator[tuple[Work, ...]]:
    """A larger piece between two of one size that share a bond with it."""
    for members in classes:
        for bonded in _bonded(members):
            pair = bonded[:2]
            area = pair[0].width * pair[0].height
            larger = [w for w in alone if w.form not in ODD_FORMS and 1.2 * area < w.width * w.height < 4 * area]
            mates = [w for w in larger if unity((*pair, w)).score == 1]
            for middle in sorted(mates, key=lambda w: w.id)[:_STARTS]:
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
        for form, boxes in _laid_out(shape.sizes, setting, limits):
            out = outline_of(boxes)
            if out[RIGHT] - out[LEFT] <= setting.bounds.width and out[TOP] - out[BOTTOM] <= setting.bounds.height:
                by_count[len(boxes)].append((form, boxes, shape))
    scored: list[tuple[float, Form, tuple[Work, ...], Floats]] = []
    for count, group in by_count.items():
        boxes = np.stack([one for _, one, _ in group])
        if setting.rail is None:
            out = outline_of(boxes)
            x, y = setting.place(out[:, RIGHT] - out[:, LEFT], out[:, TOP] - out[:, BOTTOM])
            boxes = boxes + np.tile(np.stack([x - out[:, LEFT], y - out[:, BOTTOM]], axis=1), 2)[:, None, :]
        at, works, bonds = [], [], []
        checked = setting.rail is not None or len(setting.blocks) > 0
        for index, (_, _, shape) in enumerate(group):
            if not (checked and not setting.inside(boxes[index])):
                at += [index] * len(shape.casts)
                works += [cast for cast, _ in shape.casts]
                bonds += [bond for _, bond in shape.casts]
        if at:
            terms = {name: value[at] for name, value in _terms(boxes, count, setting, limits).items()}
            values = weigh(terms | {"unity": np.array(bonds)})
            scored += [(float(v), group[i][0], w, boxes[i]) for v, i, w in zip(values, at, works, strict=True)]
    scored.sort(key=lambda item: (-item[0], item[1], [w.id for w in item[2]]))
    return _thinned(scored, setting, most)


def _laid_out(sizes: Floats, setting: Setting, limits: GroupLimits) -> Iterator[tuple[Form, Floats]]:
    count = len(sizes)
    name: Form = "pair" if count == 2 else "trio" if count == 3 else "row"
    if setting.rail is not None:
        if count > 2:
            width = float(sizes[:, 0].sum() + limits.gap * (count - 1))
            left = setting.axis - width / 2
            yield "stair", setting.climbed(stair_run(sizes, limits.gap, setting.rail, left))
        return
    yield name, row(sizes, limits.gap)
    if count <= 3:
        yield name, column(sizes, limits.gap)
    if same_size(sizes):
        for columns in grid_columns(count):
            yield "grid", grid(sizes, columns, limits.gap)


def _terms(boxes: Floats, count: int, setting: Setting, limits: GroupLimits) -> dict[str, Floats]:
    seen = setting.seen(boxes)
    batch = measure_batch(seen, gap_band_mm=limits.gap_band(count), gap_mm=limits.gap)
    terms = shape_terms(batch, limits, count) | place_terms(batch.outline, setting)
    if setting.rail is not None:
        terms["rail-line"] = np.array([rail_term(one, setting) for one in boxes])
        for name in ("outline", "fullness", "alignment"):
            del terms[name]
    return terms


def _thinned(
    scored: list[tuple[float, Form, tuple[Work, ...], Floats]], setting: Setting, most: int
) -> list[GroupColumn]:
    """The best columns, one for each set of works, no work in more than its share of them."""
    used: dict[str, int] = defaultdict(int)
    seen: set[frozenset[str]] = set()
    columns: list[GroupColumn] = []
    for value, form, works, boxes in scored:
        ids = [w.id for w in works]
        if frozenset(ids) in seen or any(used[i] >= _EACH for i in ids):
            continue
        seen.add(frozenset(ids))
        for i in ids:
            used[i] += 1
        order = hanging_order(boxes).tolist()
        hangings = tuple(
            Hanging(ids[i], setting.space.wall, float(boxes[i, LEFT]), float(boxes[i, BOTTOM]), at)
            for at, i in enumerate(order, start=1)
        )
        columns.append(GroupColumn(setting.space.id, form, tuple(ids[i] for i in order), hangings, value))
        if len(columns) == most:
            break
    return columns
