"""Upright rectangles: growing, meeting, and every maximal empty rectangle between obstacles.

A sweep over sorted edges, exact in the given coordinates: no grid, no rounding.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from .house import Rect

Edges = tuple[float, float, float, float]


def grown(rect: Rect, by: float) -> Rect:
    """The rectangle with `by` [mm] added on every side."""
    return Rect(rect.left - by, rect.bottom - by, rect.width + 2 * by, rect.height + 2 * by)


def from_edges(left: float, bottom: float, right: float, top: float) -> Rect:
    return Rect(left, bottom, right - left, top - bottom)


def bounding(rects: Iterable[Rect]) -> Rect:
    """The smallest rectangle around all of them.

    Raises:
        ValueError: none given.
    """
    some = tuple(rects)
    return from_edges(
        min(rect.left for rect in some),
        min(rect.bottom for rect in some),
        max(rect.right for rect in some),
        max(rect.top for rect in some),
    )


def common(rect: Rect, other: Rect) -> Rect | None:
    """What two rectangles share, None where they share no area."""
    left, right = max(rect.left, other.left), min(rect.right, other.right)
    bottom, top = max(rect.bottom, other.bottom), min(rect.top, other.top)
    return from_edges(left, bottom, right, top) if right > left and top > bottom else None


def holds(rect: Rect, other: Rect) -> bool:
    """Whether a rectangle lies wholly in another."""
    across = rect.left <= other.left and other.right <= rect.right
    return across and rect.bottom <= other.bottom and other.top <= rect.top


def overlap_across(rect: Rect, other: Rect) -> float:
    """The length along x that two rectangles share [mm], 0 where none."""
    return max(0.0, min(rect.right, other.right) - max(rect.left, other.left))


def stretches(low: float, high: float, taken: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """What intervals leave of [low, high], from left to right."""
    free, at = [], low
    for start, end in sorted(taken):
        if start > at:
            free.append((at, min(start, high)))
        at = max(at, end)
        if at >= high:
            break
    if at < high:
        free.append((at, high))
    return [(a, b) for a, b in free if b > a]


def maximal_empty_rectangles(bounds: Rect, obstacles: Sequence[Rect]) -> list[Rect]:
    """Every rectangle inside `bounds` that no obstacle enters and that cannot grow on any side, each once.

    bounds, obstacles : [mm]; obstacles may overlap one another and stick out of the bounds

    Returns:
        Sorted by bottom, then left, then top. Obstacles may touch a rectangle's edge.

    Notes:
        Each lower edge is the floor or the top of obstacles. From each, the free windows at that height that stand
        on such a top are swept upwards; an obstacle that comes down into a window closes a rectangle, and splits the
        window. A window that no longer stands on the edge it began from is dropped: it grows downwards, so it is found
        from a lower edge. Time O(n²) for n obstacles plus the rectangles found.
    """
    x0, y0, x1, y1 = bounds.left, bounds.bottom, bounds.right, bounds.top
    solid: list[Edges] = sorted(
        (max(o.bottom, y0), max(o.left, x0), min(o.right, x1), min(o.top, y1))
        for o in obstacles
        if o.left < x1 and o.right > x0 and o.bottom < y1 and o.top > y0
    )
    standing: dict[float, list[tuple[float, float]]] = {y0: [(x0, x1)]}
    for _, left, right, top in solid:
        standing.setdefault(top, []).append((left, right))
    standing.pop(y1, None)
    found: list[Edges] = []
    for floor, feet in standing.items():
        active = [(left, right) for bottom, left, right, top in solid if bottom <= floor < top]
        above = [(bottom, left, right) for bottom, left, right, _ in solid if bottom > floor]
        for window in stretches(x0, x1, active):
            if _stands(window, feet):
                _sweep(floor, window, feet, above, y1, found)
    found.sort()
    return [from_edges(left, bottom, right, top) for bottom, left, top, right in found]


def _stands(window: tuple[float, float], feet: list[tuple[float, float]]) -> bool:
    left, right = window
    return any(a < right and b > left for a, b in feet)


def _sweep(
    floor: float,
    window: tuple[float, float],
    feet: list[tuple[float, float]],
    above: list[tuple[float, float, float]],
    ceiling: float,
    found: list[Edges],
) -> None:
    """Add the maximal rectangles that stand on `floor` within a window, as (bottom, left, top, right)."""
    pending = [(*window, above)]
    while pending:
        left, right, over = pending.pop()
        over = [one for one in over if one[1] < right and one[2] > left]
        if not over:
            found.append((floor, left, ceiling, right))
            continue
        top = over[0][0]
        found.append((floor, left, top, right))
        entering = [one[1:] for one in over if one[0] == top]
        rest = over[len(entering) :]
        pending += [(a, b, rest) for a, b in stretches(left, right, entering) if _stands((a, b), feet)]
