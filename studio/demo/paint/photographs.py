"""Black-and-white photographic studies: sand, water, fog, a stair, a facade, a leaf."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw

from .ground import Field, Picture, Rng, blur, film, grid, mix, noise, relief, soft, spread


def dunes(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Dunes in low light, wind ripples on the lit side."""
    _, y = grid(shape)
    grey = 0.74 + 0.16 * y + 0.05 * noise(rng, shape, 0.6, 4, 4)
    for depth in np.linspace(0, 1, 4):
        crest = 0.3 + 0.42 * depth - 0.22 * (noise(rng, (1, shape[1]), 0.9 - 0.3 * depth, 2)[0] - 0.4)
        fall = y - crest[None, :]
        body = blur(noise(rng, shape, 0.5, 2, 1.6), 0.01)
        bend = fall + 0.22 * (body - 0.5)
        shade = soft(0.09 + 0.14 * (noise(rng, (1, shape[1]), 0.4, 2)[0][None, :] - 0.5) - bend, 0.03)
        ripple = 0.5 + 0.5 * np.sin((y * (34 + 30 * depth) + 4.5 * noise(rng, shape, 0.35, 3)) * 2 * np.pi)
        lit = 0.66 + 0.2 * body - 0.25 * fall + 0.07 * (ripple - 0.5)
        tone = lit * (1 - shade) + (0.16 + 0.12 * body) * shade
        grey = grey * (1 - soft(fall, 0.004)) + (tone * (0.75 + 0.25 * depth) + 0.12 * (1 - depth)) * soft(fall, 0.004)
    return film(rng, grey)


def water(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """The surface of a lake with the sky in it."""
    x, y = grid(shape)
    near = 0.12 + y
    height = np.zeros(shape)
    for number in range(26):
        turn, length = rng.normal(np.pi / 2, 0.45), rng.uniform(4, 20) * (1 + number / 9)
        phase = (np.cos(turn) * (x - 0.5) / near * 0.4 + np.sin(turn) * np.log(near) * 1.1) * length
        height += np.sin(2 * np.pi * phase + rng.uniform(0, 6)) / (1 + number / 5)
    slope: Field = np.asarray(np.gradient(height, axis=0)) * shape[0] * 0.012
    grey = 0.34 + 0.36 * np.tanh(slope * 0.8) + 0.3 * (1 - y)
    glitter = np.clip(slope - 0.9, 0, 1) * np.exp(-(((x - rng.uniform(0.35, 0.65)) / 0.25) ** 2))
    return film(rng, grey + 0.8 * glitter, 0.01)


def fog(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Bare trees going back into fog."""
    _, y = grid(shape)
    grey = 0.82 - 0.08 * y + 0.05 * noise(rng, shape, 0.7, 3, 3)
    aspect = shape[1] / shape[0]
    for depth in (0.25, 0.45, 0.7, 1.0):
        lines: dict[float, list[list[tuple[float, float]]]] = {}
        for _ in range(int(7 - 4 * depth) + 1):
            foot, size = rng.uniform(0.04, 0.96), (0.3 + 0.5 * depth) * rng.uniform(0.8, 1.1)
            _grow(
                rng,
                lines,
                (foot, 0.72 + 0.2 * depth),
                -np.pi / 2 + rng.normal(0, 0.05),
                size * 0.34,
                0.004 + 0.013 * depth,
                aspect,
                7,
            )
        trees = np.zeros(shape)
        for width, ones in lines.items():
            trees = np.maximum(trees, _lines(shape, ones, width))
        tone = 0.74 - 0.66 * depth
        grey = grey * (1 - trees) + tone * trees
        ground = soft(y - (0.72 + 0.2 * depth) - 0.02 * noise(rng, (1, shape[1]), 0.4, 4)[0][None, :], 0.05)
        grey = grey * (1 - ground) + (tone + 0.1 * noise(rng, shape, 0.04, 4, 4)) * ground
        mist = np.exp(-(((y - 0.72 - 0.2 * depth) / 0.16) ** 2)) * 0.55 * (1 - depth)
        grey = grey * (1 - mist) + 0.86 * mist
    return film(rng, grey, 0.0)


def _grow(
    rng: Rng,
    lines: dict[float, list[list[tuple[float, float]]]],
    foot: tuple[float, float],
    turn: float,
    size: float,
    width: float,
    aspect: float,
    left: int,
) -> None:
    """A branch and the branches on it, gathered by width."""
    tip = foot[0] + size * np.cos(turn) / aspect, foot[1] + size * np.sin(turn)
    lines.setdefault(round(max(width, 0.0014), 4), []).append([foot, tip])
    if left == 0 or size < 0.01:
        return
    for spread_by in (rng.uniform(0.2, 0.55), -rng.uniform(0.2, 0.55)):
        _grow(rng, lines, tip, turn + spread_by, size * rng.uniform(0.66, 0.84), width * 0.66, aspect, left - 1)


def _lines(shape: tuple[int, int], lines: list[list[tuple[float, float]]], width: float) -> Field:
    """Many separate lines of one width."""
    image = Image.new("L", (shape[1] * 2, shape[0] * 2))
    draw = ImageDraw.Draw(image)
    for line in lines:
        draw.line([(px * image.width, py * image.height) for px, py in line], 255, max(int(width * max(image.size)), 1))
    return np.asarray(image.resize((shape[1], shape[0]), Image.Resampling.BOX), dtype=float) / 255


def stair(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """Sun across a flight of concrete steps."""
    x, y = grid(shape)
    steps = int(rng.integers(8, 12))
    slant = rng.uniform(0.25, 0.5)
    along = y * steps + slant * x * 2
    part = along % 1
    grain = noise(rng, shape, 0.02, 4) * 0.09 + noise(rng, shape, 0.4, 4) * 0.1
    tread = part < 0.62
    grey = np.where(tread, 0.78, 0.42) + grain
    grey = grey * (1 - 0.3 * np.exp(-((part / 0.035) ** 2))) + 0.1 * np.exp(-(((part - 0.6) / 0.02) ** 2))
    edge = x - 0.55 - 0.3 * (y - 0.5) + np.where(tread, 0.0, 0.09) + 0.045 * (part - 0.5)
    shadow = soft(edge, 0.012)
    rails = 0.5 + 0.5 * np.sign(np.sin((x + 0.32 * y + np.where(tread, 0, 0.05)) * 60) + 0.55)
    grey = grey * (1 - 0.72 * shadow) * (1 - 0.5 * (1 - rails) * (1 - shadow) * soft(0.28 - x + 0.1 * y, 0.02))
    return film(rng, grey)


def facade(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A facade seen straight on, shutters and shadows."""
    x, y = grid(shape)
    across = 4 if shape[1] < shape[0] else 6
    down = max(round(across * shape[0] / shape[1] * 0.8), 2)
    u, v = x * across % 1, y * down % 1
    grey = (
        0.74
        + 0.1 * noise(rng, shape, 0.5, 6)
        - 0.06 * noise(rng, shape, 0.02, 3)
        - 0.12 * np.clip(noise(rng, shape, 0.12, 4, 0.2) - 0.6, 0, 1)
    )
    opening = soft(0.17 - np.abs(u - 0.5), 0.012) * soft(0.3 - np.abs(v - 0.52), 0.01)
    cast = soft(0.17 - np.abs(u - 0.56), 0.012) * soft(0.3 - np.abs(v - 0.57), 0.01)
    grey = grey * (1 - 0.5 * cast * (1 - opening))
    cell = (np.floor(y * down) * across + np.floor(x * across)).astype(int)
    kind = rng.integers(0, 3, across * down)[np.clip(cell, 0, across * down - 1)]
    slats = 0.45 + 0.16 * np.sin(v * 190 / max(down / 2, 1))
    glass = 0.12 + 0.4 * soft(u + v - 1.05 + 0.2 * noise(rng, shape, 0.2, 3), 0.25)
    inside = np.where(kind == 0, slats, glass)
    inside = np.where((kind != 0) & ((np.abs(u - 0.5) < 0.008) | (np.abs(v - 0.42) < 0.007)), 0.8, inside)
    grey = grey * (1 - opening) + inside * opening
    sill = soft(0.21 - np.abs(u - 0.5), 0.01) * soft(0.018 - np.abs(v - 0.84), 0.006)
    grey = grey * (1 - sill) + 0.92 * sill
    sun = soft(0.25 + 0.9 * x - y * rng.uniform(0.55, 0.75), 0.02)
    return film(rng, grey * (0.5 + 0.5 * sun))


def shell(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A shell on black, close."""
    x, y = grid(shape)
    aspect = shape[1] / shape[0]
    dx, dy = (x - 0.5) * aspect, y - 0.53
    turn, far = np.arctan2(dy, dx), np.hypot(dx, dy) + 1e-6
    growth = 0.19
    whorl = (np.log(far / 0.42) / growth - turn) / (2 * np.pi)
    part = whorl - np.floor(whorl)
    depth = np.sin(np.pi * part) ** 0.6
    ribs = 0.5 + 0.5 * np.sin(turn * 34 + 5 * part)
    height = depth * far * 0.9 + 0.012 * ribs * far * depth
    lit = relief(blur(height, 0.002), 0.9, (-0.8, -0.6))
    edge = 0.40 * np.exp(-growth * ((np.pi - turn) % (2 * np.pi)) * 0.55)
    inside = soft(edge - far, 0.012)
    grey = np.clip(0.5 * lit + 0.3 * depth, 0, 1) * (0.75 + 0.25 * spread(noise(rng, shape, 0.04, 3)))
    return film(rng, 0.03 + inside * grey * 1.15, 0.015)


def bloom(rng: Rng, shape: tuple[int, int], palette: str) -> Picture:
    """A many-petalled flower from above, in soft light."""
    x, y = grid(shape)
    aspect = shape[1] / shape[0]
    dx, dy = (x - 0.5) * aspect, y - 0.5
    turn, far = np.arctan2(dy, dx), np.hypot(dx, dy)
    grey = 0.1 + 0.08 * noise(rng, shape, 0.5, 4)
    reach = 0.47 * min(1.0, aspect)
    for ring in range(9):
        size = reach * (1 - ring / 9.5)
        count, offset = 13 - ring // 2, rng.uniform(0, 6) + ring * 0.5
        lobe = np.abs(((turn + offset) * count / (2 * np.pi)) % 1 - 0.5) * 2
        edge = size * (1 - 0.28 * lobe**2.2 + 0.015 * noise(rng, shape, 0.1, 2))
        petal = soft(edge - far, 0.006)
        inner = np.clip(far / (edge + 1e-6), 0, 1)
        tone = 0.28 + 0.62 * inner**1.5 - 0.3 * lobe**3 + 0.04 * np.sin(turn * 130)
        shadow = blur(petal, 0.012)
        grey = grey * (1 - 0.5 * shadow)
        grey = grey * (1 - petal) + tone * (0.84 + 0.16 * np.cos(turn + 2.3)) * petal
    eye = soft(0.05 * min(1.0, aspect) - far, 0.01)
    grey = mix(np.repeat(grey[..., None], 3, 2), [0.12, 0.12, 0.12], eye * noise(rng, shape, 0.01, 2))[..., 0]
    return film(rng, grey)
