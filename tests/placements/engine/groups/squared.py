"""Perfect squared rectangles decoded from their Bouwkamp codes: published layouts whose measures are known."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

#: Order 9, the smallest perfect squared rectangle: Z. Moron, 1925; code after Bouwkamp, 1946.
MORON_33_32 = ((18, 15), (7, 8), (14, 4), (10, 1), (9,))
#: Order 21, the simple perfect squared square of lowest order: A. J. W. Duijvestijn, J. Combin. Theory B 25, 1978;
#: sides in OEIS A014530.
DUIJVESTIJN_112 = ((50, 35, 27), (8, 19), (15, 17, 11), (6, 24), (29, 25, 9, 2), (7, 18), (16,), (42,), (4, 37), (33,))


def decode(code: tuple[tuple[int, ...], ...]) -> NDArray[np.float64]:
    """(k, 4) left, bottom, right, top of the squares: each row of the code goes to the lowest, leftmost ledge.

    The code reads from the top edge down, so depth below the top edge is turned into height at the end.
    """
    width = sum(code[0])
    depth = np.zeros(width, dtype=int)
    squares = []
    for row in code:
        for side in row:
            at = int(np.argmin(depth))
            assert (depth[at : at + side] == depth[at]).all(), "the code does not decode"
            squares.append((at, depth[at], at + side, depth[at] + side))
            depth[at : at + side] += side
    height = int(depth.max())
    assert (depth == height).all(), "the code leaves a ragged edge"
    return np.array([(x0, height - y1, x1, height - y0) for x0, y0, x1, y1 in squares], dtype=np.float64)
