"""What hangs and is no picture: woven cloths, carved reliefs, mirrors, clocks, baskets."""

from __future__ import annotations

import numpy as np

from .ground import (
    Field,
    Picture,
    Rng,
    blank,
    blur,
    colours,
    grid,
    mix,
    noise,
    ramp,
    relief,
    shape_mask,
    soft,
    spread,
)

_THREADS = 150


def _loom(rng: Rng, shape: tuple[int, int], pattern: Field, tones: Picture) -> Picture:
    """A pattern of numbers (which tone) woven thread by thread."""
    x, y = grid(shape)
    across = _THREADS
    down = max(int(_THREADS * shape[0] / shape[1] * 0.9), 20)
    column, row = np.floor(x * across).astype(int), np.floor(y * down).astype(int)
    middle = pattern[
        np.clip(((row + 0.5) / down * shape[0]).astype(int), 0, shape[0] - 1),
        np.clip(((column + 0.5) / across * shape[1]).astype(int), 0, shape[1] - 1),
    ].astype(int)
    cloth = tones[np.clip(middle, 0, len(tones) - 1)]
    u, v = x * across % 1, y * down % 1
    over = (column + row) % 2 == 0
    thread = np.where(
        over, np.sin(np.pi * v) ** 0.5 * (0.8 + 0.2 * np.sin(np.pi * u)), 0.62 + 0.3 * np.sin(np.pi * u) ** 0.6
    )
    uneven = 0.9 + 0.2 * rng.random(down + 1)[np.clip(row, 0, down)] * 0.6 + 0.08 * noise(rng, shape, 0.5, 3)
    woven: Picture = np.clip(cloth * (thread * uneven * 1.12)[..., None], 0, 1)
    return woven


def _hung(rng: Rng, cloth: Picture, fringe: bool) -> Picture:
    """The cloth with soft folds and, below, its fringe on the pale wall."""
    shape = cloth.shape[:2]
    x, y = grid(shape)
    folds = 1 + 0.06 * np.sin(x * 9 + 2 * noise(rng, shape, 0.7, 2)) * np.clip(y * 1.5, 0, 1)
    picture = cloth * folds[..., None]
    if fringe:
        end = 0.9 + 0.006 * np.sin(x * 40)
        cords = (np.sin(x * _THREADS * 2.1 + 3 * (y - 0.9) * noise(rng, shape, 0.05, 2) * 20) > -0.25) & (
            y < 0.97 + 0.03 * noise(rng, (1, shape[1]), 0.02, 2)[0][None, :]
        )
        wall = blank(shape, [0.93, 0.91, 0.87])
        cord = mix(
            wall, mix(cloth[int(shape[0] * 0.88)][None, :, :], [0.9, 0.86, 0.78], 0.5), cords.astype(float) * 0.95
        )
        picture = mix(picture, cord, soft(y - end, 0.004))
    return np.clip(picture, 0, 1)


def stripes(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A woven hanging in bands of many widths."""
    c = colours(palette)
    _, y = grid(shape)
    pattern = np.zeros(shape)
    at = 0.0
    while at < 1:
        width = rng.choice([0.012, 0.02, 0.05, 0.11, 0.16])
        pattern[(y >= at) & (y < at + width)] = rng.choice([0, 1, 2, 3, 4, 5], p=[0.28, 0.2, 0.16, 0.16, 0.1, 0.1])
        at += width
    return _hung(rng, _loom(rng, shape, pattern, c), fringe=True)


def diamonds(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A woven hanging of stepped diamonds between borders."""
    c = colours(palette)
    x, y = grid(shape)
    aspect = shape[1] / shape[0]
    count = int(rng.integers(2, 4))
    u = np.abs((x * count) % 1 - 0.5) * 2
    rows = max(round(count / aspect), 1)
    v = np.abs((y * rows) % 1 - 0.5) * 2
    step = np.floor((u + v) * 6).astype(int)
    picks = np.array([5, 4, 0, 3, 1, 0, 2, 4, 0, 1, 3, 0, 2])
    pattern = picks[np.clip(step, 0, 12)]
    border = np.minimum(x * aspect, (1 - x) * aspect) < 0.05 * aspect
    pattern = np.where(border, np.where((np.floor(y * 26) % 2) == 0, 4, 5), pattern)
    return _hung(rng, _loom(rng, shape, pattern, c), fringe=aspect < 1.2)


def land_cloth(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A tapestry of hills, each a different yarn."""
    c = colours(palette)
    x, y = grid(shape)
    pattern = np.where(y < 0.3, 0, 1).astype(float)
    sun = np.hypot((x - 0.68) * shape[1] / shape[0], y - 0.2) < 0.09
    pattern[sun] = 5
    for number, base in enumerate((0.34, 0.5, 0.66, 0.82)):
        ridge = base + 0.16 * (noise(rng, (1, shape[1]), 0.6, 2)[0] - 0.5)
        pattern[y > ridge[None, :]] = (2, 3, 1 if number == 2 else 4, 4)[number]
    return _hung(rng, _loom(rng, shape, pattern, c), fringe=False)


def carved(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A pale panel carved in rounds that lap over one another."""
    c = colours(palette)
    x, y = grid(shape)
    aspect = shape[1] / shape[0]
    height = np.zeros(shape)
    size = 0.24 if aspect < 1.4 else 0.3
    for row in range(int(1 / (size * 0.5)) + 2, -2, -1):
        for column in range(-1, int(aspect / size) + 2):
            at_x, at_y = (column + 0.5 * (row % 2)) * size, row * size * 0.5
            far = np.hypot(x * aspect - at_x, y - at_y) / (size * 0.52)
            dome = np.where(far < 1, 0.4 + 0.6 * np.sqrt(np.clip(1 - far**2, 0, 1)) * 0.4 + 0.05 * np.cos(far * 26), 0)
            height = np.where(far < 1, dome + (1 - y) * 0.0, height)
    lit = relief(blur(height, 0.0025), 0.025)
    wood = mix(c[0], c[1], 0.5 + 0.3 * noise(rng, shape, 0.2, 5, 6))
    return np.clip(wood * np.clip(0.25 + 0.75 * lit, 0.3, 1.15)[..., None], 0, 1)


def waves(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A plaster relief of slow waves."""
    c = colours(palette)
    x, y = grid(shape)
    bend = noise(rng, shape, 0.8, 2)
    height = np.sin((y * 1.2 + 0.5 * x + 1.3 * bend) * 34) * 0.5 + 0.5
    lit = relief(blur(height**1.4, 0.001), 0.012)
    ground = mix(c[0], [1, 1, 1], 0.35)
    return np.clip(
        ground
        * np.clip(0.3 + 0.7 * lit, 0.45, 1.12)[..., None]
        * (0.97 + 0.04 * noise(rng, shape, 0.01, 2)[..., None]),
        0,
        1,
    )


def mirror(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Old glass: a pale room, a window's light, a bevel, some foxing at the edges."""
    x, y = grid(shape)
    aspect = shape[1] / shape[0]
    room = ramp(
        np.array([[0.80, 0.82, 0.82], [0.88, 0.88, 0.86], [0.74, 0.74, 0.72]]), np.clip(y + 0.15 * (x - 0.5), 0, 1)
    )
    window = shape_mask(shape, [[(0.16, 0.12), (0.42, 0.18), (0.42, 0.62), (0.16, 0.66)]])
    bars = np.max(
        [shape_mask(shape, [line], 0.008) for line in ([(0.29, 0.14), (0.29, 0.65)], [(0.16, 0.39), (0.42, 0.4)])],
        axis=0,
    )
    room = mix(room, [0.97, 0.98, 0.97], blur(window * (1 - bars), 0.004) * 0.85)
    beam = shape_mask(shape, [[(0.45, 0.72), (0.86, 0.8), (0.98, 0.96), (0.5, 0.9)]])
    room = mix(room, [0.95, 0.93, 0.88], blur(beam, 0.012) * 0.5)
    inner = np.minimum(np.minimum(x, 1 - x) * aspect, np.minimum(y, 1 - y))
    room = room * (1 - 0.1 * np.exp(-(((inner - 0.045) / 0.004) ** 2)))[..., None]
    room = mix(room, [0.97, 0.97, 0.96], soft(0.045 - inner, 0.004) * 0.35)
    foxing = np.clip(noise(rng, shape, 0.05, 5) - 0.45 - inner * 4, 0, 1) * 1.8
    return mix(room, [0.42, 0.36, 0.28], foxing * 0.7)


def clock(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A plain dial, ten past ten."""
    c = colours(palette)
    x, y = grid(shape)
    aspect = shape[1] / shape[0]
    dx, dy = (x - 0.5) * aspect, y - 0.5
    far, turn = np.hypot(dx, dy) / (0.5 * min(1.0, aspect)), np.arctan2(dx, -dy)
    picture = blank(shape, [0.93, 0.91, 0.87])
    rim = mix(c[4], c[3], spread(-dx - dy))
    face = mix(c[0], [1, 1, 1], 0.4) * (0.97 + 0.03 * noise(rng, shape, 0.5, 3)[..., None])
    picture = mix(picture, rim, soft(0.97 - far, 0.012))
    picture = mix(picture, face, soft(0.89 - far, 0.01))
    minute = np.abs((turn * 30 / np.pi + 0.5) % 1 - 0.5)
    hour = np.abs((turn * 6 / np.pi + 0.5) % 1 - 0.5)
    ticks = soft(0.07 - minute, 0.05) * (far > 0.8) * (far < 0.83)
    marks = soft(0.035 - hour, 0.012) * (far > 0.7) * (far < 0.83)
    picture = mix(picture, c[4], np.maximum(ticks * 0.6, marks))
    for degrees, reach, width in ((305, 0.48, 0.05), (60, 0.7, 0.032)):
        tip = np.radians(degrees)
        along = (dx * np.sin(tip) - dy * np.cos(tip)) / (0.5 * min(1.0, aspect))
        side = np.abs(dx * np.cos(tip) + dy * np.sin(tip)) / (0.5 * min(1.0, aspect))
        hand = soft(width * (1.15 - along / reach) - side, 0.008) * (along > -0.12) * soft(reach - along, 0.01)
        picture = mix(picture, c[4], hand)
    return mix(picture, c[5], soft(0.045 - far, 0.01))


def basket(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A coiled basket seen from above, a star worked into it."""
    c = colours(palette)
    x, y = grid(shape)
    aspect = shape[1] / shape[0]
    dx, dy = (x - 0.5) * aspect, y - 0.5
    far, turn = np.hypot(dx, dy) / (0.49 * min(1.0, aspect)), np.arctan2(dy, dx)
    coil = far * 22 + turn / (2 * np.pi)
    part = coil % 1
    stitch = np.abs((turn * np.floor(coil) * 2.2 + np.floor(coil)) / (2 * np.pi) % 1 - 0.5)
    points = int(rng.integers(5, 8))
    star = np.abs((turn * points / (2 * np.pi)) % 1 - 0.5) * 2
    tone = np.where(np.floor(coil) % 22 < 3, 4, np.where(star * 0.75 + 0.12 > far, 3, 1))
    tone = np.where((np.floor(coil) == 19) | (np.floor(coil) == 16), 5, tone)
    straw = c[tone] * (0.92 + 0.16 * noise(rng, shape, 0.02, 3)[..., None])
    lit = np.sin(np.pi * part) ** 0.5 * (0.78 + 0.3 * soft(stitch - 0.08, 0.1)) * (1 - 0.16 * (dx + dy))
    inside = soft(1 - far, 0.01)
    shadow = blur(np.roll(inside, (int(0.02 * shape[0]), int(0.015 * shape[0])), (0, 1)), 0.012)
    wall = blank(shape, [0.93, 0.91, 0.87]) * (1 - 0.35 * shadow)[..., None]
    return mix(wall, np.clip(straw * lit[..., None], 0, 1), inside)
