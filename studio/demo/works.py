"""The demonstration's files: its surveys, and the recipe of every picture in them."""

from __future__ import annotations

import io
import json
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache
from multiprocessing import get_context
from pathlib import Path

from . import paint

SURVEYS = Path(__file__).with_name("surveys")


@cache
def recipes() -> dict[str, dict[str, tuple[str, str, int]]]:
    """Survey name -> art id -> (painter, palette, seed)."""
    document = json.loads(Path(__file__).with_name("recipes.json").read_text())
    return {name: {art: (one[0], one[1], one[2]) for art, one in art_of.items()} for name, art_of in document.items()}


@dataclass(frozen=True, slots=True)
class Order:
    """A picture to paint: the piece, its outer size, and what its frame and mat take off on every side [mm]."""

    survey: str
    art: str
    width_mm: float
    height_mm: float
    border_mm: float = 0.0


def picture(order: Order) -> bytes:
    """The JPEG file of one piece, in the shape of what its frame and mat leave to see."""
    painter, palette, seed = recipes()[order.survey][order.art]
    wide, high = order.width_mm - 2 * order.border_mm, order.height_mm - 2 * order.border_mm
    out = io.BytesIO()
    paint.paint(painter, palette, seed=seed, ratio=wide / high).save(out, "JPEG", quality=92)
    return out.getvalue()


def pictures(orders: Sequence[Order]) -> list[bytes]:
    """The pictures in the order asked for, painted by as many processes as the machine has cores."""
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as pool:
        return list(pool.map(picture, orders, chunksize=4))
