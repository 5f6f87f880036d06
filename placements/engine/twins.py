"""Spaces that flank another alike, as two panels either side of a larger one, and works that make a pair there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from .groups.forms import SAME_SIZE_MM
from .house import Work
from .results import Space

#: Spaces whose sizes and places differ by no more are alike [mm]: 1/2 in. Common practice, no source.
ALIKE_MM = 12.7


def twins(spaces: Sequence[Space]) -> Iterator[tuple[int, int]]:
    """Indices of two spaces of one kind and size, at one height, with another space in the middle between them."""
    for (i, one), (j, other) in combinations(enumerate(spaces), 2):
        if (one.wall, one.kind) == (other.wall, other.kind) and _alike(one, other):
            middle = (one.rect.centre_x + other.rect.centre_x) / 2
            between = (space for space in spaces if space.wall == one.wall and space not in (one, other))
            if any(abs(space.rect.centre_x - middle) <= ALIKE_MM for space in between):
                yield i, j


def make_a_pair(one: Work, other: Work) -> bool:
    """Whether two works are of one size, form and frame."""
    sizes = abs(one.width - other.width), abs(one.height - other.height)
    alike = (one.form, one.frame.lower()) == (other.form, other.frame.lower())
    return one.id != other.id and alike and max(sizes) <= SAME_SIZE_MM


def _alike(one: Space, other: Space) -> bool:
    a, b = one.rect, other.rect
    return max(abs(a.width - b.width), abs(a.height - b.height), abs(a.bottom - b.bottom)) <= ALIKE_MM
