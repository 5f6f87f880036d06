"""From a measured layout to one that can be hung: edges square, gaps in the band and even, lines shared."""

from __future__ import annotations

import numpy as np

from .boxes import Floats
from .setting import GroupLimits
from .settle import Wish, settle


def from_corners(corners: Floats) -> tuple[Floats, Floats, Floats]:
    """Middles, sizes and tilts of pieces measured by their corners.

    Args:
        corners: (k, 4, 2) in order round each piece from its lower left: lower right, upper right, upper left follow.

    Returns:
        (k, 2) middles [mm], (k, 2) widths and heights as the means of opposite sides [mm], (k,) tilts [degrees,
        anticlockwise].
    """
    sides = np.roll(corners, -1, axis=1) - corners
    length = np.hypot(sides[..., 0], sides[..., 1])
    sizes = np.stack([(length[:, 0] + length[:, 2]) / 2, (length[:, 1] + length[:, 3]) / 2], axis=1)
    along = sides[:, 0] - sides[:, 2]
    return corners.mean(axis=1), sizes, np.degrees(np.arctan2(along[:, 1], along[:, 0]))


def regularise(centres: Floats, sizes: Floats, limits: GroupLimits | None = None) -> Floats:
    """Straighten a measured layout with the least movement.

    Args:
        centres: (k, 2) measured middles [mm], y upwards.
        sizes: (k, 2) true sizes where the works are known, else measured [mm].

    Returns:
        (k, 4) upright boxes [mm].

    Raises:
        ValueError: shapes that do not agree, or a size that is not above zero.
    """
    centres, sizes = np.asarray(centres, dtype=np.float64), np.asarray(sizes, dtype=np.float64)
    if centres.shape != sizes.shape or centres.ndim != 2 or centres.shape[1] != 2:
        raise ValueError(f"middles and sizes must both be (k, 2), got {centres.shape} and {sizes.shape}")
    if not (sizes > 0).all() or not np.isfinite(centres).all():
        raise ValueError("measured pieces need finite middles and sizes above zero")
    limits = limits or GroupLimits.of()
    low, high = limits.gap_band(len(centres))
    start = np.concatenate([centres - sizes / 2, centres + sizes / 2], axis=1)
    return settle(start, Wish(low, high, limits.gap)) if len(start) > 1 else start
