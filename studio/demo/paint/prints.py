"""Prints and drawings: flat inks on paper, a drawn line, a cut block."""

from __future__ import annotations

import numpy as np

from .ground import Field, Picture, Rng, blank, blur, colours, grid, mix, noise, paper, shape_mask, soft


def _sheet(shape: tuple[int, int], colour: Picture) -> Picture:
    return blank(shape, mix(colour, [1, 1, 1], 0.45))


def _inked(rng: Rng, mask: Field, salt: float = 0.25) -> Field:
    """A mask as ink lies on paper: not quite even, with a few dry specks."""
    grain = noise(rng, (mask.shape[0], mask.shape[1]), 0.006, 2)
    return mask * np.clip(1.12 - salt * (grain > 0.82) - 0.12 * noise(rng, mask.shape, 0.3, 3), 0, 1)


def _leaf(x: float, y: float, turn: float, size: float, width: float, aspect: float) -> list[tuple[float, float]]:
    """The outline of a leaf whose stalk is at (x, y), as shares of the sheet."""
    along = np.linspace(0, 1, 24)
    half = width * np.sin(np.pi * along**0.85) * size
    u = np.concatenate([along * size, along[::-1] * size])
    v = np.concatenate([half, -half[::-1]])
    return [
        (x + (a * np.cos(turn) - b * np.sin(turn)) / aspect, y + a * np.sin(turn) + b * np.cos(turn))
        for a, b in zip(u, v, strict=True)
    ]


def branch(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A leafing branch, printed in two inks."""
    c = colours(palette)
    aspect = shape[1] / shape[0]
    picture = _sheet(shape, c[0])
    dark: list[list[tuple[float, float]]] = []
    pale: list[list[tuple[float, float]]] = []
    stems = []
    sprays = 1 if aspect < 1.1 else 2
    for spray in range(sprays):
        foot = (0.5 if sprays == 1 else 0.32 + 0.36 * spray) + rng.normal(0, 0.02)
        lean = rng.uniform(-0.25, 0.25)
        along = np.linspace(0, 1, 40)
        spine = [(foot + lean * t**1.6 / aspect * 0.8 + 0.02 * np.sin(5 * t), 0.93 - 0.7 * t) for t in along]
        stems.append(spine)
        leaves = int(rng.integers(9, 13))
        for number in range(leaves):
            t = 0.16 + 0.8 * number / leaves
            px, py = spine[int(t * 39)]
            side = 1 if number % 2 else -1
            turn = -np.pi / 2 + side * rng.uniform(0.6, 1.05)
            size = (0.27 - 0.15 * t) * rng.uniform(0.85, 1.15)
            (dark if rng.random() < 0.62 else pale).append(_leaf(px, py, turn, size, rng.uniform(0.15, 0.22), aspect))
            tip = size * 0.86
            stems.append([(px, py), (px + tip * np.cos(turn) / aspect, py + tip * np.sin(turn))])
        dark.append(_leaf(*spine[-1], -np.pi / 2 + lean, 0.12, 0.18, aspect))
    picture = mix(picture, c[2], _inked(rng, shape_mask(shape, pale)))
    picture = mix(picture, c[3] if palette != "ink" else c[4], _inked(rng, shape_mask(shape, dark)))
    veins = np.max([shape_mask(shape, [line], 0.0022) for line in stems[: 14 * sprays]], axis=0)
    picture = mix(picture, c[4], _inked(rng, shape_mask(shape, [stems[0]], 0.006)))
    return paper(rng, mix(picture, mix(c[0], [1, 1, 1], 0.3), veins * 0.85), 0.025)


def arcs(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Quarter rounds set in a grid, each turned by chance."""
    c = colours(palette)
    picture = _sheet(shape, c[0])
    x, y = grid(shape)
    across = int(rng.integers(4, 6))
    cell = (1 - 0.16 * min(1, shape[0] / shape[1])) / across * shape[1]
    down = max(int((shape[0] * 0.86) / cell), 1)
    left, top = (shape[1] - across * cell) / 2, (shape[0] - down * cell) / 2
    px, py = x * (shape[1] - 1) - left, y * (shape[0] - 1) - top
    column, row = np.floor(px / cell).astype(int), np.floor(py / cell).astype(int)
    inside = (column >= 0) & (column < across) & (row >= 0) & (row < down)
    column, row = np.clip(column, 0, across - 1), np.clip(row, 0, down - 1)
    u, v = px / cell - column, py / cell - row
    quarter = rng.integers(0, 4, (down, across))[row, column]
    u, v = np.where(quarter % 2 == 1, 1 - u, u), np.where(quarter >= 2, 1 - v, v)
    far = np.hypot(u, v)
    back, front = rng.integers(0, 3, (down, across))[row, column], rng.integers(2, 6, (down, across))[row, column]
    rings = rng.random((down, across))[row, column] < 0.35
    tile = mix(c[back], c[front], soft(0.98 - far, 0.012))
    tile = mix(tile, c[back], soft(0.07 - np.abs(far - 0.5), 0.012) * rings)
    return paper(rng, mix(picture, tile, _inked(rng, inside.astype(float), 0.12)), 0.025)


def contours(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """The level lines of a land that is nowhere."""
    c = colours(palette)
    height = noise(rng, shape, 0.75, 3)
    levels = height * 22
    slope = np.hypot(*np.gradient(levels)) + 1e-6
    near = np.abs(levels - np.round(levels)) / slope
    heavy = np.round(levels) % 5 == 0
    line = np.clip(1.3 - near / np.where(heavy, 1.25, 0.7), 0, 1)
    picture = mix(_sheet(shape, c[0]), c[1], np.floor(height * 5) / 5 * 0.75)
    water = soft(0.26 - height, 0.01)
    picture = mix(picture, mix(c[2], c[1], 0.3), water)
    picture = mix(picture, c[4], line * 0.85)
    summit = soft(height - 0.93, 0.01)
    return paper(rng, mix(picture, c[5], summit * 0.9), 0.025)


def vessels(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Bowls and jars in a row, cut from flat colour."""
    c = colours(palette)
    picture = _sheet(shape, c[0])
    aspect = shape[1] / shape[0]
    _, y = grid(shape)
    shelf = 0.8
    picture = mix(picture, mix(c[1], c[0], 0.4), _inked(rng, soft(y - shelf, 0.004), 0.1))
    count = 3 if aspect < 1 else 5
    for number, at in enumerate(np.linspace(0.22, 0.78, count) + rng.normal(0, 0.012, count)):
        tall = rng.uniform(0.22, 0.5)
        t = np.linspace(0, 1, 40)
        belly, neck, where = rng.uniform(0.09, 0.15), rng.uniform(0.025, 0.07), rng.uniform(0.25, 0.5)
        half = neck + (belly - neck) * np.exp(-(((t - where) / 0.3) ** 2)) + 0.012 * (t > 0.96) + 0.02 * (t < 0.05)
        half = half * min(1.0, 0.8 * aspect + 0.25) * (1.0 if count == 3 else 0.92)
        right = [(at + h / aspect, shelf + 0.03 - s * tall) for h, s in zip(half, t, strict=True)]
        left = [(at - h / aspect, shelf + 0.03 - s * tall) for h, s in zip(half, t, strict=True)][::-1]
        colour = c[[3, 5, 2, 4, 1][(number + int(rng.integers(0, 2))) % 5]]
        mask = shape_mask(shape, [right + left])
        picture = mix(picture, colour, _inked(rng, mask, 0.18))
        shade = shape_mask(shape, [right + [(at + 0.35 * (px - at), py) for px, py in right[::-1]]])
        picture = mix(picture, colour * 0.78, _inked(rng, shade, 0.3) * 0.8)
        if number % 2 == 0:
            ring = np.exp(-(((y - (shelf + 0.03 - tall * where)) / 0.008) ** 2))
            picture = mix(picture, c[0], ring * mask * 0.85)
    return paper(rng, picture, 0.025)


def charcoal(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Pears on a cloth, drawn in charcoal."""
    c = colours(palette)
    sheet = _sheet(shape, c[0])
    x, y = grid(shape)
    aspect = shape[1] / shape[0]
    tone = np.zeros(shape)
    tooth = noise(rng, shape, 0.008, 2)
    table = 0.68
    tone += soft(y - table, 0.01) * (0.12 + 0.25 * noise(rng, shape, 0.3, 4, 3)) * (1.4 - y)
    count = 2 if aspect < 1 else 4
    for at in np.linspace(0.5 - 0.14 * (count - 1), 0.5 + 0.14 * (count - 1), count) + rng.normal(0, 0.02, count):
        size = rng.uniform(0.15, 0.19) * min(1, aspect + 0.15)
        foot = table + rng.uniform(0.02, 0.1)
        dx, dy = (x - at) * aspect, (foot - y)
        body = 1 - np.hypot(dx / size, (dy - size * 0.85) / (size * 0.9))
        head = 1 - np.hypot((dx - 0.01) / (size * 0.58), (dy - size * 1.75) / (size * 0.85))
        form = np.log(np.exp(np.clip(body, -2, 1) * 9) + np.exp(np.clip(head, -2, 1) * 9)) / 9
        inside = soft(form - 0.07, 0.02)
        shadow = np.exp(-(((dx - size * 0.9) / (size * 1.3)) ** 2) - ((dy + 0.005) / 0.035) ** 2)
        tone = np.maximum(tone, shadow * 0.75)
        light = np.clip(0.5 + dx / size * 0.55 - (dy / size - 1) * 0.12, 0, 1)
        tone = tone * (1 - inside) + inside * (0.08 + 0.72 * light**1.6)
        tone = np.maximum(tone, np.exp(-(((form - 0.07) / 0.016) ** 2)) * (0.35 + 0.55 * light))
        stalk = shape_mask(shape, [[(at + 0.01, foot - size * 2.4), (at + 0.03, foot - size * 2.9)]], 0.006)
        tone = np.maximum(tone, stalk * 0.9)
    hatch = 0.5 + 0.5 * np.sin((x * aspect + y) * 190 + 6 * noise(rng, shape, 0.3, 2))
    drawn = np.clip(tone * (0.72 + 0.5 * hatch * (tone < 0.6)) - (tooth - 0.45) * 0.35 * (tone > 0.03), 0, 1)
    smudge = blur(drawn, 0.01) * 0.2
    return paper(rng, mix(sheet, mix(c[4], [0.1, 0.1, 0.1], 0.7), np.clip(drawn * 0.9 + smudge, 0, 0.93)), 0.02)


def sunprint(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Fern fronds left white on a deep ground by the sun."""
    c = colours(palette)
    aspect = shape[1] / shape[0]
    ground = mix(c[4], c[3], noise(rng, shape, 0.5, 4) * 0.7)
    leaves: list[list[tuple[float, float]]] = []
    fronds = 2 if aspect < 1 else 3
    for number in range(fronds):
        foot = (number + 0.5) / fronds + rng.normal(0, 0.03)
        lean = rng.uniform(-0.35, 0.35)
        for step in np.linspace(0.06, 1, 34):
            px, py = foot + lean * step**1.7 / aspect * 0.5, 0.95 - 0.86 * step
            size = 0.2 * (1 - step) ** 0.8 * (0.35 + min(step * 5, 1) * 0.65) + 0.012
            for side in (-1, 1):
                leaves.append(_leaf(px, py, -np.pi / 2 + lean * 0.8 * step + side * 1.1, size, 0.13, aspect))
    mask = shape_mask(shape, leaves)
    edge = noise(rng, shape, 0.2, 5)
    x, y = grid(shape)
    border = np.minimum(np.minimum(x, 1 - x) * aspect, np.minimum(y, 1 - y)) - 0.035 - 0.02 * (edge - 0.5)
    picture = mix(ground, mix(c[0], c[1], 0.25), blur(mask, 0.0012) * 0.92)
    return paper(rng, mix(_sheet(shape, c[0]), picture, soft(border, 0.008)), 0.03)
