"""Slicing trees: pieces joined two and two into larger and larger blocks, and how large those are; many at once.

Every piece stands in a cell that is wider and higher than it by a gap anywhere in the band, so that a cell may give by
the band's width and two neighbours whose cells touch always hang a gap of the band apart. Two blocks are joined side
by side, or one above the other, where their sides agree within what their cells can give; what they disagree by is
lost (Otten, "Automatic floorplan design", DAC 1982, quoted from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .boxes import Bools, Floats, Ints


@dataclass(frozen=True, slots=True)
class Trees:
    """B trees over k pieces; block k + t is made by join t, the last one is the whole.

    kids: (B, k - 1, 2) blocks joined. axis: (B, k - 1) 0 side by side, 1 one above the other.
    turned: (B, k - 1) whether the second stands first. align: (B, k - 1) where a block that is too short for its side
    stands along it, 0 at its start to 1 at its end.
    """

    kids: Ints
    axis: Ints
    turned: Bools
    align: Floats

    def take(self, index: Ints) -> Trees:
        return Trees(self.kids[index], self.axis[index], self.turned[index], self.align[index])

    def joined(self, other: Trees) -> Trees:
        return Trees(
            np.concatenate([self.kids, other.kids]),
            np.concatenate([self.axis, other.axis]),
            np.concatenate([self.turned, other.turned]),
            np.concatenate([self.align, other.align]),
        )


@dataclass(frozen=True, slots=True)
class Extents:
    """Lowest and highest width and height of every block, (B, 2k - 1, 2) [mm], cells included."""

    low: Floats
    high: Floats


def join(low: Floats, high: Floats, one: Ints, two: Ints, along: Ints, new: int) -> None:
    """The extents of a block made of two, in place."""
    rows, across = np.arange(len(low)), 1 - along
    low[rows, new, along] = low[rows, one, along] + low[rows, two, along]
    high[rows, new, along] = high[rows, one, along] + high[rows, two, along]
    low[rows, new, across] = np.maximum(low[rows, one, across], low[rows, two, across])
    high[rows, new, across] = np.maximum(
        low[rows, new, across], np.minimum(high[rows, one, across], high[rows, two, across])
    )


def extents(trees: Trees, sizes: Floats, band: tuple[float, float]) -> Extents:
    """How large every block of the trees may be."""
    batch, k = len(trees.kids), len(sizes)
    low, high = np.zeros((batch, 2 * k - 1, 2)), np.zeros((batch, 2 * k - 1, 2))
    low[:, :k], high[:, :k] = sizes + band[0], sizes + band[1]
    for step in range(k - 1):
        join(low, high, trees.kids[:, step, 0], trees.kids[:, step, 1], trees.axis[:, step], k + step)
    return Extents(low, high)


def laid_out(trees: Trees, given: Extents, sizes: Floats, give: float) -> Floats:
    """(B, k, 4) boxes [mm] from the outline's lower left corner.

    Args:
        give: how far the cells are stretched, 0 for the lowest gaps to 1 for the highest.
    """
    low, high = given.low, given.high
    batch, k = len(low), len(sizes)
    rows = np.arange(batch)
    corner, size = np.zeros_like(low), np.zeros_like(low)
    size[:, -1] = low[:, -1] + give * (high[:, -1] - low[:, -1])
    for step in range(k - 2, -1, -1):
        along, turned = trees.axis[:, step], trees.turned[:, step]
        across = 1 - along
        one = np.where(turned, trees.kids[:, step, 1], trees.kids[:, step, 0])
        two = np.where(turned, trees.kids[:, step, 0], trees.kids[:, step, 1])
        room, tall = size[rows, k + step, along], size[rows, k + step, across]
        least, most = low[rows, one, along], high[rows, one, along]
        both_low, both_high = least + low[rows, two, along], most + high[rows, two, along]
        share = (room - both_low) / np.maximum(both_high - both_low, 1e-9)
        first = least + share * (most - least)
        size[rows, one, along], size[rows, two, along] = first, room - first
        corner[rows, one, along] = corner[rows, k + step, along]
        corner[rows, two, along] = corner[rows, k + step, along] + first
        for block in (one, two):
            own = np.minimum(tall, high[rows, block, across])
            size[rows, block, across] = own
            corner[rows, block, across] = corner[rows, k + step, across] + trees.align[:, step] * (tall - own)
    middle = corner[:, :k] + size[:, :k] / 2
    return np.concatenate([middle - sizes / 2, middle + sizes / 2], axis=2)
