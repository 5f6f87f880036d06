"""Abstract paintings: fields, strokes, stones, veils."""

from __future__ import annotations

import numpy as np

from .ground import (
    Picture,
    Rng,
    blank,
    blur,
    canvas,
    colours,
    grid,
    mix,
    noise,
    paper,
    ramp,
    relief,
    shape_mask,
    soft,
    spread,
)


def strokes(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Hundreds of loaded strokes that follow a slow current."""
    c = colours(palette)
    picture = mix(c[0], c[1], noise(rng, shape, 0.5, 4) * 0.7)
    angle = noise(rng, shape, 0.9, 2) * 2.6 * np.pi
    zone = noise(rng, shape, 0.8, 2)
    height = np.zeros(shape)
    bristle = np.zeros(shape)
    rows, columns = shape
    for number in range(150):
        size = 0.035 * (1 - number / 260) * rng.uniform(0.6, 1.3)
        at = np.array([rng.uniform(0, columns), rng.uniform(0, rows)])
        points = []
        for _ in range(int(rng.uniform(14, 34))):
            column, row = int(np.clip(at[0], 0, columns - 1)), int(np.clip(at[1], 0, rows - 1))
            points.append((at[0] / columns, at[1] / rows))
            turn = angle[row, column]
            at = at + np.array([np.cos(turn), np.sin(turn)]) * max(shape) * 0.012
        start = int(np.clip(points[0][1] * rows, 0, rows - 1)), int(np.clip(points[0][0] * columns, 0, columns - 1))
        pick = float(np.clip(zone[start] * 5.4 + rng.normal(0, 0.5), 0, 5))
        colour = c[int(pick)] if rng.random() < 0.86 else c[5]
        mask = shape_mask(shape, [points], size)
        if number % 6 == 0:
            bristle = 0.55 + 0.9 * noise(rng, shape, 0.012, 1)
        mask = mask * np.clip(bristle, 0, 1)
        picture = mix(picture, colour, mask * 0.92)
        height = height * (1 - mask * 0.7) + mask * (0.5 + 0.5 * bristle)
    lit = relief(blur(height, 0.0012), 0.004)
    return canvas(rng, picture * np.clip(0.35 + 0.65 * lit, 0.7, 1.2)[..., None], 0.04)


def veils(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Thin washes laid over one another, each drying with a darker edge."""
    c = colours(palette)
    picture = blank(shape, mix(c[0], [1, 1, 1], 0.4))
    _, y = grid(shape)
    for layer in range(8):
        lie = noise(rng, shape, rng.uniform(0.6, 1.0), 3, rng.uniform(0.8, 2.4)) + (y - 0.5) * rng.uniform(-0.7, 0.7)
        cut = np.quantile(lie, rng.uniform(0.52, 0.8))
        inside = soft(lie - cut, 0.02)
        rim = np.exp(-(((lie - cut) / 0.008) ** 2))
        colour = c[[1, 2, 3, 1, 5, 2, 3, 1][layer]]
        tint = picture * mix([1, 1, 1], colour, 0.5)
        fade = np.clip(1.15 - (lie - cut) * 2.2, 0.25, 1)
        picture = mix(picture, tint, inside * fade * (0.5 + 0.5 * noise(rng, shape, 0.3, 4)))
        picture = mix(picture, picture * mix([1, 1, 1], colour, 0.4), rim * 0.5)
    return paper(rng, picture, 0.03)


def stones(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Rounded forms resting against one another on a quiet ground."""
    c = colours(palette)
    picture = mix(c[0], c[1], noise(rng, shape, 0.8, 3) * 0.35)
    x, y = grid(shape)
    aspect = shape[1] / shape[0]
    order = rng.permutation([1, 2, 3, 4, 5, 2, 3, 1, 5])
    placed: list[tuple[float, float, float]] = []
    for number, pick in enumerate(order):
        for _ in range(60):
            size = rng.uniform(0.13, 0.26) * min(1.0, 1.25 / aspect + 0.2) * (1 if number < 5 else 0.6)
            at_x, at_y = rng.uniform(size, aspect - size), rng.uniform(size, 1 - size)
            if all(np.hypot(at_x - px, at_y - py) > 0.86 * (size + ps) for px, py, ps in placed):
                break
        else:
            continue
        placed.append((at_x, at_y, size))
        turn, squash = rng.uniform(0, np.pi), rng.uniform(0.66, 0.95)
        dx, dy = x * aspect - at_x, y - at_y
        u, v = dx * np.cos(turn) + dy * np.sin(turn), -dx * np.sin(turn) + dy * np.cos(turn)
        theta = np.arctan2(v / squash, u)
        waves = 1 + 0.07 * np.sin(2 * theta + rng.uniform(0, 6)) + 0.05 * np.sin(3 * theta + rng.uniform(0, 6))
        far = np.hypot(u, v / squash) / (size * waves)
        shade = np.roll(soft(1 - far, 0.25), (int(0.012 * shape[0]), int(0.01 * shape[0])), (0, 1))
        picture = picture * (1 - 0.16 * shade)[..., None]
        body = c[pick] * (0.94 + 0.14 * noise(rng, shape, 0.05, 4)[..., None])
        picture = mix(picture, body, soft(1 - far, 0.012))
    return paper(rng, picture, 0.035)


def bands(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Horizontal fields of worked colour with torn edges between."""
    c = colours(palette)
    _, y = grid(shape)
    count = int(rng.integers(5, 8))
    edges = np.sort(rng.uniform(0.08, 0.94, count - 1))
    picks = [int(rng.integers(0, 5))]
    while len(picks) < count:
        nxt = int(rng.integers(0, 6))
        if nxt != picks[-1]:
            picks.append(nxt)
    picture = blank(shape, c[picks[0]])
    height = noise(rng, shape, 0.05, 4, 5)
    for edge, pick in zip(edges, picks[1:], strict=True):
        torn = edge + 0.035 * (noise(rng, shape, 0.3, 6, 2.5) - 0.5)
        picture = mix(picture, c[pick], soft(y - torn, 0.006))
        height = height + 0.5 * np.exp(-(((y - torn) / 0.006) ** 2))
    scraped = noise(rng, shape, 0.25, 6, 4)
    picture = mix(picture, c[1], np.clip(scraped - 0.66, 0, 1) * 2.2)
    picture = mix(picture, c[4], np.clip(0.27 - scraped, 0, 1) * 2.0)
    picture = picture * (0.9 + 0.2 * noise(rng, shape, 0.4, 4)[..., None])
    return canvas(rng, picture * np.clip(0.5 + 0.5 * relief(height, 0.003), 0.8, 1.15)[..., None], 0.05)


def gestures(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A few wide dark sweeps of a dry brush over a pale ground."""
    c = colours(palette)
    picture = mix(mix(c[0], [1, 1, 1], 0.3), c[1], noise(rng, shape, 0.6, 5) * 0.5)
    for number in range(int(rng.integers(4, 6))):
        start, swing = rng.uniform(0.1, 0.9, 2), rng.uniform(-1.4, 1.4)
        along = np.linspace(0, 1, 50)
        turn = rng.uniform(0, 2 * np.pi) + swing * along * 2.4
        path = np.stack([np.cumsum(np.cos(turn)), np.cumsum(np.sin(turn))], axis=1) * rng.uniform(0.012, 0.02)
        path = path - path.mean(axis=0) + 0.5 + (start - 0.5) * 0.5
        width = rng.uniform(0.05, 0.1) if number < 3 else 0.02
        mask = shape_mask(shape, [[(float(px), float(py)) for px, py in path]], width)
        grain = noise(rng, shape, 0.012, 2, 3) * 0.6 + noise(rng, shape, 0.3, 3) * 0.6
        dry = blur(mask, 0.001) * soft(grain - 0.36, 0.25)
        picture = mix(picture, c[4] if number != 2 else c[5], dry * 0.96)
    wash = np.clip(noise(rng, shape, 0.6, 4) - 0.6, 0, 1) * 1.6
    return paper(rng, picture * mix([1, 1, 1], c[2], wash), 0.03)


def facets(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Planes that meet at angles, each shaded across."""
    c = colours(palette)
    x, y = grid(shape)
    aspect = shape[1] / shape[0]
    points = rng.random((22, 2)) * [aspect, 1]
    far = np.stack(
        [(x * aspect - px) ** 2 * (1 + 0.6 * np.sin(i)) + (y - py) ** 2 for i, (px, py) in enumerate(points)]
    )
    cell = far.argmin(axis=0)
    ordered = np.sort(far, axis=0)
    tilt = rng.uniform(-1, 1, (22, 2))
    light = np.take(tilt[:, 0], cell) * (x - 0.5) + np.take(tilt[:, 1], cell) * (y - 0.5)
    base = ramp(c[:5], np.take(spread(points[:, 1] + points[:, 0] * 0.6 + rng.normal(0, 0.25, 22)), cell))
    base = mix(base, c[5], (np.take(rng.random(22), cell) > 0.86) * 0.9)
    picture = np.clip(base * (1 + 0.5 * light[..., None]), 0, 1)
    seam = np.exp(-(((ordered[1] - ordered[0]) / 0.004) ** 2))
    picture = mix(picture, c[0], seam * 0.65)
    return canvas(rng, picture * (0.93 + 0.14 * noise(rng, shape, 0.03, 3)[..., None]), 0.06)
