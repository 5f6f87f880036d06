"""Painted scenery: hills, shores, skies, fields, trees."""

from __future__ import annotations

import numpy as np

from .ground import Picture, Rng, blank, blur, canvas, colours, grid, mix, noise, ramp, shape_mask, soft


def hills(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Ridge behind ridge, paler with distance, a low sun."""
    c = colours(palette)
    x, y = grid(shape)
    sky = ramp(
        np.array([c[2], c[1], c[0], mix(c[0], c[5], 0.35)]),
        np.clip(y / 0.62 + (noise(rng, shape, 0.5, 3, 3) - 0.5) * 0.25, 0, 1),
    )
    sun_x, sun_y, size = rng.uniform(0.25, 0.75), rng.uniform(0.2, 0.34), rng.uniform(0.05, 0.08)
    aspect = shape[1] / shape[0]
    far = np.hypot((x - sun_x) * aspect, y - sun_y)
    picture = mix(sky, c[0], np.exp(-((far / 0.3) ** 2)) * 0.5)
    picture = mix(picture, mix(c[5], c[0], 0.35), soft(size - far, 0.006))
    layers = 6
    for layer in range(layers):
        depth = layer / (layers - 1)
        base = 0.42 + 0.5 * depth**1.15
        ridge = base - (noise(rng, (1, shape[1]), 0.5 - 0.25 * depth, 6)[0] - 0.35) * (0.24 - 0.08 * depth)
        below = soft(y - ridge[None, :], 0.004)
        tone = ramp(np.array([mix(c[1], c[2], 0.4), c[2], c[3], c[4]]), np.full(shape, depth))
        texture = noise(rng, shape, 0.12, 5, 3)
        land = mix(tone, mix(tone, c[5], 0.5), np.clip(texture - 0.62, 0, 1) * 1.2)
        mist = np.clip((y - ridge[None, :]) * 3.2, 0, 1) * (1 - depth) * 0.75
        picture = mix(picture, mix(land, mix(c[0], c[1], 0.6), mist), below)
    return canvas(rng, picture)


def shore(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Sky, sea and sand in broad bands; breakers and a far headland."""
    c = colours(palette)
    x, y = grid(shape)
    horizon = rng.uniform(0.36, 0.5)
    clouds = noise(rng, shape, 0.45, 6, 3.2)
    picture = ramp(np.array([c[2], mix(c[1], c[2], 0.4), c[0]]), np.clip(y / horizon, 0, 1))
    picture = mix(
        picture, mix(c[0], [1, 1, 1], 0.5), np.clip(clouds - 0.5, 0, 1) * 2.2 * np.clip(1 - y / horizon, 0, 1) ** 0.3
    )
    picture = mix(picture, c[3], np.clip(0.4 - clouds, 0, 1) * 0.8 * np.clip(1 - y / horizon, 0, 1))
    head = (
        horizon
        - 0.05
        * np.clip(
            noise(rng, (1, shape[1]), 0.4, 5)[0] * 2.2 - 0.7 - 1.6 * (x[0] if rng.random() < 0.5 else 1 - x[0]), 0, 1
        )
        ** 0.8
    )
    picture = mix(picture, mix(c[3], c[2], 0.35), soft(y - head[None, :], 0.003))
    sand_line = horizon + (1 - horizon) * (
        0.48 + 0.1 * (noise(rng, (1, shape[1]), 0.7, 3)[0] - 0.5) + 0.18 * (x[0] - 0.5)
    )
    depth = np.clip((y - horizon) / (sand_line[None, :] - horizon), 0, 1)
    ripples = noise(rng, shape, 0.16, 5, 9)
    sea = ramp(np.array([c[4], c[3], mix(c[3], c[2], 0.7), c[2]]), np.clip(depth + (ripples - 0.5) * 0.3, 0, 1))
    sea = mix(sea, c[0], np.clip(ripples - 0.66, 0, 1) * 1.8)
    sand = mix(mix(c[0], c[5], 0.25), mix(c[0], c[4], 0.25), noise(rng, shape, 0.25, 5, 4) * 0.5)
    picture = mix(picture, sea, soft(y - horizon, 0.003))
    for offset, strength in ((0.0, 0.95), (-0.085, 0.7), (-0.15, 0.4)):
        edge = sand_line + offset + 0.02 * (noise(rng, (1, shape[1]), 0.2, 4)[0] - 0.5)
        foam = np.exp(-(((y - edge[None, :]) / 0.011) ** 2)) * (noise(rng, shape, 0.05, 3, 3) > 0.36)
        picture = mix(picture, [0.98, 0.97, 0.95], blur(foam, 0.0015) * strength)
    wet = np.clip(1 - (y - sand_line[None, :]) / 0.14, 0, 1)
    picture = mix(picture, mix(sand, c[3], wet * 0.35), soft(y - sand_line[None, :] - 0.008, 0.01))
    return canvas(rng, picture, 0.06)


def evening(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Still water under a large sky, the light lying on it."""
    c = colours(palette)
    x, y = grid(shape)
    horizon = rng.uniform(0.56, 0.66)
    glow_x = rng.uniform(0.3, 0.7)
    bands = noise(rng, shape, 0.5, 6, 5)
    up = np.clip(y / horizon, 0, 1)
    sky = ramp(np.array([c[4], c[3], c[2], c[1], c[5]]), np.clip(up**1.5 + (bands - 0.5) * 0.42, 0, 1))
    sky = mix(sky, c[0], np.exp(-(((x - glow_x) / 0.28) ** 2) - ((y - horizon) / 0.12) ** 2) * 0.8)
    mirrored = sky[np.clip((2 * horizon * shape[0] - np.arange(shape[0])), 0, shape[0] - 1).astype(int)]
    ripple = noise(rng, shape, 0.1, 5, 14)
    water = mix(mirrored, c[4], 0.28 + 0.5 * np.clip((y - horizon) * 1.5, 0, 1) * ripple)
    water = mix(
        water, c[0], np.clip(ripple - 0.6, 0, 1) * 2.0 * np.exp(-(((x - glow_x) / (0.07 + 0.3 * (y - horizon))) ** 2))
    )
    picture = mix(sky, water, soft(y - horizon, 0.003))
    shore_line = horizon - 0.045 * noise(rng, (1, shape[1]), 0.35, 6)[0] * (0.4 + 0.6 * np.abs(x[0] - glow_x) * 2)
    far_shore = soft(y - shore_line[None, :], 0.003) * soft(horizon + 0.006 - y, 0.003)
    return canvas(rng, mix(picture, mix(c[4], c[3], 0.25), far_shore), 0.05)


def meadow(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Fields in strips going back to a line of trees, painted in short strokes."""
    c = colours(palette)
    x, y = grid(shape)
    horizon = rng.uniform(0.34, 0.44)
    clouds = noise(rng, shape, 0.4, 6, 2)
    picture = ramp(np.array([mix(c[1], c[2], 0.5), c[0]]), np.clip(y / horizon, 0, 1))
    picture = mix(picture, [0.99, 0.98, 0.95], np.clip(clouds - 0.5, 0, 1) * 2.0)
    back = np.clip((y - horizon) / (1 - horizon), 1e-3, 1)
    bend = (x - 0.5) / (0.25 + back) + 0.25 * (noise(rng, shape, 0.7, 2) - 0.5)
    strips = np.floor(bend * 5 + rng.uniform(0, 5) + np.floor(np.log(back + 0.06) * 1.7) * 1.7).astype(int)
    order = rng.permutation(40)
    tones = np.array(
        [c[1], c[2], mix(c[2], c[0], 0.5), c[3], mix(c[5], c[1], 0.45), mix(c[2], c[5], 0.3), mix(c[0], c[1], 0.5)]
    )
    land = tones[order[strips % 40] % len(tones)]
    strokes = noise(rng, shape, 0.035, 3, 2.5)
    land = land * (0.86 + 0.3 * strokes[..., None])
    land = mix(land, c[4], np.clip(back - 0.6, 0, 1) * 0.25)
    picture = mix(picture, blur(land, 0.0015), soft(y - horizon, 0.003))
    trees = np.zeros(shape)
    for _ in range(44):
        tree_x, size = rng.uniform(0, 1), rng.uniform(0.012, 0.05) * rng.uniform(0.5, 1)
        tall = rng.uniform(1.0, 2.0)
        blob = 1 - np.hypot((x - tree_x) / size * 1.1, (y - horizon + size * tall * 0.55) / (size * tall))
        trees = np.maximum(trees, soft(blob + (strokes - 0.5) * 0.5, 0.1))
    return canvas(rng, mix(picture, mix(c[4], c[3], strokes * 0.8), trees), 0.06)


def birches(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Pale trunks before a wood that goes dark."""
    c = colours(palette)
    x, y = grid(shape)
    leaf = noise(rng, shape, 0.09, 5)
    picture = ramp(np.array([c[4], c[3], c[2], c[1]]), np.clip(leaf * 0.7 + (1 - y) * 0.4 - 0.1, 0, 1))
    picture = mix(picture, c[5], np.clip(noise(rng, shape, 0.04, 3) - 0.66, 0, 1) * 2.4 * np.clip(1.2 - y, 0, 1))
    ground = 0.8 + 0.04 * noise(rng, (1, shape[1]), 0.4, 4)[0]
    picture = mix(picture, mix(c[2], c[5], 0.3) * (0.7 + 0.5 * leaf[..., None]), soft(y - ground[None, :], 0.05))
    aspect = shape[0] / shape[1]
    for depth in np.linspace(0, 1, 15) ** 0.8:
        foot, lean = rng.uniform(-0.02, 1.02), rng.normal(0, 0.025)
        width = (0.006 + 0.02 * depth) * rng.uniform(0.8, 1.3) * min(1.4, aspect + 0.4)
        bend = 0.012 * (noise(rng, (shape[0], 1), 0.6, 3)[:, 0] - 0.5)
        across = (x - foot - (lean * (1 - y)) - bend[:, None]) / (width * (0.75 + 0.4 * y))
        trunk = soft(1 - np.abs(across), 0.25) * soft(ground.mean() + 0.03 + 0.12 * depth - y, 0.01)
        side = np.clip(0.5 + across * 0.55, 0, 1)
        bark = ramp(np.array([c[0], c[0], mix(c[1], c[3], 0.4), c[3]]), side)
        marks = noise(rng, shape, 0.02, 2, 4)
        bark = mix(bark, c[4], np.clip(marks - 0.7, 0, 1) * 4)
        picture = mix(picture, mix(picture, bark, 0.35 + 0.65 * depth), trunk)
    return canvas(rng, picture, 0.06)


def boats(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A quiet harbour: hulls and masts doubled in the water."""
    c = colours(palette)
    _, y = grid(shape)
    line = rng.uniform(0.5, 0.58)
    sky = ramp(
        np.array([c[1], c[0], mix(c[0], c[5], 0.3)]),
        np.clip(y / line + (noise(rng, shape, 0.5, 5, 3) - 0.5) * 0.5, 0, 1),
    )
    town = line - 0.05 - 0.08 * np.round(noise(rng, (1, shape[1]), 0.09, 2)[0] * 5) / 5
    sky = mix(sky, mix(c[2], c[1], noise(rng, shape, 0.08, 3)), soft(y - town[None, :], 0.004))
    hulls = blank(shape, c[0])
    cover = np.zeros(shape)
    for at in np.linspace(0.12, 0.88, 5) + rng.normal(0, 0.02, 5):
        size = rng.uniform(0.05, 0.1)
        hull = [
            (at - size, line - 0.035),
            (at + size * 1.15, line - 0.045),
            (at + size * 0.8, line),
            (at - size * 0.75, line),
        ]
        colour = c[rng.choice([3, 4, 5, 0])]
        mask = shape_mask(shape, [hull])
        hulls, cover = mix(hulls, colour, mask), np.maximum(cover, mask)
        tall = rng.uniform(0.2, 0.36)
        rig = [
            [(at, line - 0.04), (at, line - tall)],
            [(at, line - tall), (at + size, line - 0.045)],
            [(at, line - tall), (at - size * 0.9, line - 0.04)],
        ]
        for index, rope in enumerate(rig):
            thin = shape_mask(shape, [rope], 0.0035 if index == 0 else 0.0012)
            hulls, cover = mix(hulls, c[4], thin), np.maximum(cover, thin)
    above = mix(sky, hulls, cover)
    wobble = ((noise(rng, shape, 0.06, 3, 8) - 0.5) * 0.05 * np.clip((y - line) * 5, 0, 1) * shape[1]).astype(int)
    rows = np.clip((2 * line * shape[0] - np.arange(shape[0])), 0, shape[0] - 1).astype(int)
    columns = np.clip(np.arange(shape[1])[None, :] + wobble, 0, shape[1] - 1)
    water = mix(above[rows[:, None], columns], c[3], 0.22 + 0.35 * np.clip(y - line, 0, 1))
    water = mix(water, c[0], np.clip(noise(rng, shape, 0.08, 4, 10) - 0.66, 0, 1) * 1.4)
    return canvas(rng, mix(above, water, soft(y - line, 0.003)), 0.06)
