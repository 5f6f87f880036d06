"""A wall's finish as a light, sparse hatch: enough to know it, never enough to fight the art."""

from __future__ import annotations

from placements.engine.house import Rect, Wall

from .pen import PENCIL, Kit, Manner, View, group

Lines = list[tuple[float, float, float, float]]


def _box(left: float, bottom: float, width: float, height: float) -> Lines:
    right, top = left + width, bottom + height
    return [
        (left, bottom, right, bottom),
        (right, bottom, right, top),
        (right, top, left, top),
        (left, top, left, bottom),
    ]


def _scattered(i: int, j: int) -> bool:
    """A fixed scatter in which about one cell in nine is drawn, in small clusters."""
    return (i // 2 * 7 + j // 2 * 5 + (i // 2) * (j // 2) * 3) % 9 == 0


def _courses(wall: Wall, wide: float, tall: float, joint: float) -> Lines:
    """Bricks in running bond, here and there."""
    lines: Lines = []
    for j in range(int(wall.height // tall)):
        shift = wide / 2 if j % 2 else 0.0
        for i in range(int((wall.length - shift) // wide)):
            if _scattered(i, j):
                lines += _box(shift + i * wide + joint, j * tall + joint, wide - 2 * joint, tall - 2 * joint)
    return lines


def _grid(wall: Wall, step: float) -> Lines:
    across = [(step * i, 0.0, step * i, wall.height) for i in range(1, int(wall.length // step) + 1)]
    up = [(0.0, step * i, wall.length, step * i) for i in range(1, int(wall.height // step) + 1)]
    return across + up


def _motif(wall: Wall, step: float) -> Lines:
    """A small lozenge in half-drop repeat."""
    lines: Lines = []
    arm = step * 0.13
    columns = int(wall.length // step)
    for i in range(columns + 1):
        for j in range(int(wall.height // step) + 1):
            x, y = (i + 0.5) * step, (j + (0.75 if i % 2 else 0.25)) * step
            if x + arm < wall.length and y + arm < wall.height:
                lines += [
                    (x - arm, y, x, y + arm),
                    (x, y + arm, x + arm, y),
                    (x + arm, y, x, y - arm),
                    (x, y - arm, x - arm, y),
                ]
    return lines


def _drops(wall: Wall, step: float) -> Lines:
    return [(step * i, 0.0, step * i, wall.height) for i in range(1, int(wall.length // step) + 1)]


def draw_finish(wall: Wall, view: View, manner: Manner) -> str:
    lines: Lines = []
    if manner.details:
        if wall.finish == "brick":
            lines = _courses(wall, 225, 75, 4)
        elif wall.finish == "stone":
            lines = _courses(wall, 420, 210, 14)
        elif wall.finish == "tile":
            lines = _grid(wall, 300)
        elif wall.finish == "patterned_wallpaper":
            lines = _motif(wall, 330)
        elif wall.finish == "plain_wallpaper":
            lines = _drops(wall, 530)
    k = Kit(view, manner)
    k.lines(lines)
    return group(f"finish {wall.finish}", k.drawn(), stroke=PENCIL, stroke_opacity=0.32)


def skirting(wall: Wall) -> Lines:
    """The skirting's top line, interrupted where something stands on the floor in front of it."""
    height = min(110.0, wall.height * 0.04)
    blocks = sorted(
        (max(item.left, 0.0), min(item.left + item.width, wall.length))
        for item in wall.items
        if item.bottom < height and item.kind in ("door", "opening", "mantel", "niche")
    )
    lines: Lines = []
    x = 0.0
    for left, right in [*blocks, (wall.length, wall.length)]:
        if left > x:
            lines.append((x, height, left, height))
        x = max(x, right)
    return lines


def wall_rect(wall: Wall) -> Rect:
    return Rect(0, 0, wall.length, wall.height)
