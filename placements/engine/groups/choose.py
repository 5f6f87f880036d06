"""Which pieces make a group: by what unites them, by size, with the designer's pins and whole sets kept together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..house import Work
from .boxes import Floats
from .forms import SAME_SIZE_MM, same_size
from .unity import Unity, palette_closeness, unity

#: Forms that hang among others only where sizes are mixed, never in a row or grid of one size with other forms.
ODD_FORMS = frozenset({"mirror", "relief", "basket", "clock", "object"})
_TRIES = 6


@dataclass(frozen=True, slots=True)
class Cast:
    """Works that may hang as one group, and what holds them together."""

    works: tuple[Work, ...]
    bond: Unity

    @property
    def sizes(self) -> Floats:
        """(k, 2) widths and heights [mm]."""
        return np.array([(w.width, w.height) for w in self.works])

    @property
    def one_size(self) -> bool:
        return same_size(self.sizes)


def affinity(works: Sequence[Work]) -> Floats:
    """(N, N) how well two works go together, 0-1: frame, form, themes and palettes, those that are known."""
    n = len(works)
    table = np.ones((n, n))
    for i in range(n):
        for j in range(i + 1, n):
            a, b = works[i], works[j]
            parts = [float(a.form == b.form)]
            if a.frame and b.frame:
                parts.append(float(a.frame.lower() == b.frame.lower()))
            if a.themes and b.themes:
                parts.append(float(bool({t.lower() for t in a.themes} & {t.lower() for t in b.themes})))
            close = palette_closeness(a, b)
            if close is not None:
                parts.append(close)
            table[i, j] = table[j, i] = (max(parts) + sum(parts) / len(parts)) / 2
    return table


def bundles(works: Sequence[Work]) -> list[tuple[int, ...]]:
    """Indices of works that come and go together: each set whole, every other work alone."""
    found: dict[str, list[int]] = {}
    alone: list[tuple[int, ...]] = []
    for i, work in enumerate(works):
        if work.set_name:
            found.setdefault(work.set_name, []).append(i)
        else:
            alone.append((i,))
    return [tuple(members) for members in found.values()] + alone


def one_size_casts(works: Sequence[Work], counts: tuple[int, int], pinned: frozenset[str]) -> list[Cast]:
    """Casts of one size (and one form, where forms do not mix), for rows and grids; the best united first."""
    seen: dict[tuple[int, int, str], list[int]] = {}
    for i, work in enumerate(works):
        kind = work.form if work.form in ODD_FORMS else ""
        for (w, h, other), members in seen.items():
            if kind == other and abs(w - work.width) <= SAME_SIZE_MM / 2 and abs(h - work.height) <= SAME_SIZE_MM / 2:
                members.append(i)
                break
        else:
            seen[round(work.width), round(work.height), kind] = [i]
    likes = affinity(works) if any(len(m) > 1 for m in seen.values()) else np.zeros((0, 0))
    casts: dict[frozenset[str], Cast] = {}
    for members in seen.values():
        if len(members) < 2 or not pinned <= {works[i].id for i in members}:
            continue
        inside = bundles([works[i] for i in members])
        groups = [tuple(members[i] for i in b) for b in inside if _whole(b, members, works)]
        for count in range(max(2, counts[0]), min(counts[1], len(members)) + 1):
            for first in groups[:8]:
                chosen = _grow(first, groups, likes, count, works, pinned)
                if chosen is not None:
                    cast = tuple(works[i] for i in sorted(chosen))
                    casts.setdefault(frozenset(w.id for w in cast), Cast(cast, unity(cast)))
    return sorted(casts.values(), key=lambda c: (-c.bond.score, -len(c.works), tuple(w.id for w in c.works)))


def _whole(bundle: tuple[int, ...], members: list[int], works: Sequence[Work]) -> bool:
    """Whether a set's works are all among the members."""
    name = works[members[bundle[0]]].set_name
    return name is None or sum(w.set_name == name for w in works) == len(bundle)


def _grow(
    first: tuple[int, ...],
    groups: list[tuple[int, ...]],
    likes: Floats,
    count: int,
    works: Sequence[Work],
    pinned: frozenset[str],
) -> list[int] | None:
    """The pins and `first`, then whichever bundle goes best with those chosen, up to exactly `count`; else None."""
    chosen = [i for g in groups if any(works[i].id in pinned for i in g) for i in g]
    if first[0] not in chosen:
        chosen += first
    rest = [g for g in groups if g[0] not in chosen]
    while len(chosen) < count:
        fitting = [g for g in rest if len(g) + len(chosen) <= count]
        if not fitting:
            return None
        best = max(fitting, key=lambda g: (float(likes[np.ix_(g, chosen)].mean()), -g[0]))
        chosen += best
        rest.remove(best)
    return chosen if len(chosen) == count else None


def mixed_casts(
    works: Sequence[Work],
    *,
    counts: tuple[int, int],
    area_mm2: tuple[float, float],
    gap: float,
    widest: tuple[float, float],
    pinned: frozenset[str],
    rng: np.random.Generator,
    most: int,
) -> list[Cast]:
    """Casts of any sizes whose pieces, each grown by half a gap all round, cover an area within the band.

    Args:
        area_mm2: lowest and highest total of grown areas.
        widest: width and height that no piece may exceed.
        pinned: ids that every cast holds.
    """
    fits = [
        b
        for b in bundles(works)
        if all((works[i].width <= widest[0] and works[i].height <= widest[1]) or works[i].id in pinned for i in b)
    ]
    if not fits:
        return []
    likes = affinity(works)
    grown = np.array([(w.width + gap) * (w.height + gap) for w in works])
    start = [i for b in fits if any(works[i].id in pinned for i in b) for i in b]
    free = [b for b in fits if b[0] not in start]
    casts: dict[frozenset[str], tuple[float, Cast]] = {}
    for anchor in [None, *free] if start else list(free):
        for attempt in range(_TRIES):
            chosen = _fill(start, anchor, free, likes, grown, counts, area_mm2, rng, 0.0 if attempt == 0 else 0.15)
            if chosen is None:
                continue
            cast = tuple(works[i] for i in sorted(chosen))
            key = frozenset(w.id for w in cast)
            if key in casts:
                continue
            bond = unity(cast)
            casts[key] = (
                bond.score + 0.5 * _mean_likes(likes, chosen) + _area_worth(grown, chosen, area_mm2),
                Cast(cast, bond),
            )
    ranked = sorted(casts.values(), key=lambda item: (-item[0], tuple(w.id for w in item[1].works)))
    return _diverse([cast for _, cast in ranked], most)


def _fill(
    start: list[int],
    anchor: tuple[int, ...] | None,
    free: list[tuple[int, ...]],
    likes: Floats,
    grown: Floats,
    counts: tuple[int, int],
    area: tuple[float, float],
    rng: np.random.Generator,
    noise: float,
) -> list[int] | None:
    chosen = start + [i for i in anchor or () if i not in start]
    rest = [b for b in free if b != anchor]
    covers = {b: sum(float(grown[i]) for i in b) for b in rest}
    wanted = (area[0] + 2 * area[1]) / 3
    total = float(grown[chosen].sum())
    while len(chosen) < counts[1] and (total < wanted or len(chosen) < counts[0]):
        fitting = [b for b in rest if len(b) + len(chosen) <= counts[1] and total + covers[b] <= area[1]]
        if not fitting:
            break
        pull = (likes[:, chosen].sum(axis=1) / max(1, len(chosen))).tolist()
        worth = [sum(pull[i] for i in b) / len(b) for b in fitting]
        best = fitting[int(np.argmax(np.array(worth) + noise * rng.random(len(worth))))]
        chosen += best
        rest.remove(best)
        total += covers[best]
    if not counts[0] <= len(chosen) <= counts[1] or total > area[1] * 1.0001 or (total < area[0] and len(rest) > 0):
        return None
    return chosen


def _mean_likes(likes: Floats, chosen: list[int]) -> float:
    k = len(chosen)
    return (float(likes[np.ix_(chosen, chosen)].sum()) - k) / max(1, k * (k - 1))


def _area_worth(grown: Floats, chosen: list[int], area: tuple[float, float]) -> float:
    return min(0.0, float(grown[chosen].sum()) / area[1] - 0.7)


def _diverse(casts: list[Cast], most: int) -> list[Cast]:
    """The first casts that share at most two thirds of their works with any taken before."""
    taken: list[Cast] = []
    for cast in casts:
        ids = {w.id for w in cast.works}
        if all(len(ids & {w.id for w in t.works}) <= 0.67 * len(ids | {w.id for w in t.works}) for t in taken):
            taken.append(cast)
        if len(taken) == most:
            break
    return taken
