"""The sun's place and the year's sun on a wall, against published figures, pvlib and a ray for every moment."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest

from placements.engine import sunlight
from placements.engine.house import Rect, Room, Wall
from placements.engine.sunlight import sun_position, sunshine, towards_sun
from tests import scenes

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import pandas as pd
    import pvlib

#: NREL/TP-560-34302 (Reda & Andreas 2003, rev. 2008), table A5.1: 17 Oct 2003 12:30:30 at UTC-7, Golden CO.
SPA = {"when": "2003-10-17T19:30:30", "latitude": 39.742476, "longitude": -105.1786}
SPA_ALTITUDE, SPA_AZIMUTH = 39.888378, 194.340241


def test_the_worked_example_of_nrels_algorithm_is_met_to_two_hundredths_of_a_degree() -> None:
    altitude, azimuth = sun_position(np.datetime64(SPA["when"]), SPA["latitude"], SPA["longitude"])
    assert abs(float(altitude) - SPA_ALTITUDE) < 0.02
    assert abs(float(azimuth) - SPA_AZIMUTH) < 0.02


@pytest.mark.parametrize(
    ("day", "latitude", "rise", "set_"),
    [
        # NREL/TP-560-34302, table A2.1: sunrise and sunset at Greenwich, universal time.
        pytest.param("1994-01-02", 35.0, "07:08:12.800", "16:59:55.900", id="north winter"),
        pytest.param("1996-07-05", -35.0, "07:08:15.400", "17:01:04.500", id="south winter"),
        pytest.param("2004-12-04", -35.0, "04:38:57.100", "19:02:02.500", id="south summer"),
    ],
)
def test_the_suns_rim_is_on_the_horizon_at_the_published_sunrise_and_sunset(day, latitude, rise, set_) -> None:
    for clock in (rise, set_):
        altitude, _ = sun_position(np.datetime64(f"{day}T{clock}"), latitude, 0.0, refracted=False)
        # Half the sun's width, 0.26667 degrees, and the report's refraction at the horizon, 0.5667 degrees.
        assert float(altitude) == pytest.approx(-0.8333, abs=0.02)


@pytest.mark.parametrize(
    "local",
    ["2016-05-30T20:12", "2016-07-11T20:20", "2017-05-30T20:12", "2017-07-12T20:20", "2019-05-30T20:12"],
)
def test_the_sun_sets_along_manhattans_streets_on_the_published_evenings(local: str) -> None:
    """American Museum of Natural History, dates of the full sun on the grid (EDT); the axis is 299 degrees."""
    altitude, azimuth = sun_position(np.datetime64(local) + np.timedelta64(4, "h"), 40.7484, -73.9857)
    assert float(azimuth) == pytest.approx(299.1, abs=0.3)
    assert 0.5 < float(altitude) < 1.1


def test_a_century_agrees_with_pvlib_to_two_hundredths_of_a_degree() -> None:
    draw = np.random.default_rng(3)
    when = np.datetime64("1955-01-01", "s") + draw.integers(0, 95 * 365 * 86400, 400) * np.timedelta64(1, "s")
    for latitude, longitude in ((0.0, 0.0), (40.7, -74.0), (-33.9, 151.2), (59.9, 10.7)):
        altitude, azimuth = sun_position(when, latitude, longitude)
        truth = pvlib.solarposition.spa_python(pd.DatetimeIndex(when, tz="UTC"), latitude, longitude, delta_t=67)
        up = truth["elevation"].to_numpy() > 0
        assert np.abs(altitude - truth["apparent_elevation"].to_numpy())[up].max() < 0.02
        turn = (azimuth - truth["azimuth"].to_numpy() + 180) % 360 - 180
        across = np.abs(turn) * np.cos(np.radians(altitude))
        assert across[up].max() < 0.02


@pytest.mark.parametrize(
    ("faces", "profile", "incidence"),
    [(180, 40.7832, 41.9792), (170, 42.5309, 45.6457), (225, 44.1749, 48.6974), (135, 58.6113, 66.9662)],
)
def test_profile_angle_and_incidence_of_the_worked_instant(faces, profile, incidence) -> None:
    """tan(profile) = tan(altitude) / cos(azimuth of the sun less the wall's): ASHRAE Fundamentals, fenestration (from
    memory); figures from pvlib's projected_solar_zenith_angle and from plain trigonometry, which agree."""
    x, y, z = towards_sun(np.array(SPA_ALTITUDE), np.array(SPA_AZIMUTH), faces)
    assert math.degrees(math.atan2(y, z)) == pytest.approx(profile, abs=1e-3)
    assert math.degrees(math.acos(z)) == pytest.approx(incidence, abs=1e-3)
    assert x * x + y * y + z * z == pytest.approx(1)


def test_the_patch_of_a_south_window_lies_to_the_east_when_the_sun_is_west_of_south() -> None:
    """Plain geometry at the worked instant: an edge 0.9 m up lands 1.04328 m into the room and 0.26671 m east."""
    x, y, z = towards_sun(np.array(SPA_ALTITUDE), np.array(SPA_AZIMUTH), 180.0)
    assert 0.9 / y * z == pytest.approx(1.04328, abs=1e-5)
    # Seen facing the window from outside, right is east; the sun stands to the left, so its patch lies to the right.
    assert -0.9 / y * x == pytest.approx(0.26671, abs=1e-5)


def room(*, depth_in: float | None = 144.0, window_side: float = 0.0) -> tuple[Room, Wall]:
    """A north wall that looks south is not lit by it; a window wall of 12 ft opposite, or at a side."""
    target = scenes.wall(id="t", length=144, faces_deg=180.0)
    glass = scenes.item("window", 30, 24, 60, 60)
    opposite = scenes.wall(glass, id="o", length=144, faces_deg=0.0)
    east = scenes.wall(scenes.item("window", 40, 30, 36, 54, id="e"), id="e", length=depth_in or 144, faces_deg=270.0)
    walls = (target, opposite, east) if depth_in else (target, opposite)
    return Room("r", "Room", walls=walls), target


def brute(room_: Room, wall: Wall, latitude: float, depth: float, x: float, y: float) -> float:
    """Full-sun hours at a point: a ray for every moment in compass coordinates (east, north, up), by pvlib's sun."""
    start = np.datetime64(f"{sunlight.YEAR}-01-01T00:00", "m")
    days = np.arange(0, 365, sunlight.STEP_DAYS)
    minutes = np.arange(5, 1440, 10)
    when = (start + days[:, None] * np.timedelta64(1440, "m") + minutes * np.timedelta64(1, "m")).ravel()
    sun = pvlib.solarposition.spa_python(pd.DatetimeIndex(when, tz="UTC"), latitude, 0.0, delta_t=67)
    alt, az = np.radians(sun["apparent_elevation"].to_numpy()), np.radians(sun["azimuth"].to_numpy())
    beam = np.stack([np.cos(alt) * np.sin(az), np.cos(alt) * np.cos(az), np.sin(alt)])

    def bearing(degrees: float) -> np.ndarray:
        return np.array([math.sin(math.radians(degrees)), math.cos(math.radians(degrees)), 0.0])

    out, right = bearing(wall.faces_deg), bearing(wall.faces_deg - 90)
    point = x * right + np.array([0, 0, y])
    hit = np.zeros(len(when), dtype=bool)
    for other in room_.walls:
        if other is wall:
            continue
        normal, along = bearing(other.faces_deg), bearing(other.faces_deg - 90)
        turn = (other.faces_deg - wall.faces_deg) % 360
        # The lower left corner of the other wall, seen facing it.
        corner = {
            180: wall.length / 2 * right + depth * out - along * other.length / 2,
            90: wall.length * right,
            270: out * other.length,
        }[int(turn)]
        with np.errstate(divide="ignore", invalid="ignore"):
            way = ((corner - point) @ normal) / (normal @ beam)
        place = point[:, None] + way * beam - corner[:, None]
        u, v = along @ place, place[2]
        for item in other.items:
            inside = (u >= item.left) & (u <= item.rect.right) & (v >= item.bottom) & (v <= item.rect.top)
            hit |= inside & (way > 0) & (normal @ beam < 0)
    lit = hit & (alt > 0) & (out @ beam > 0)
    return float((out @ beam)[lit].sum() * 10 / 60 * 365 / len(days))


@pytest.mark.parametrize("latitude", [40.0, -35.0, 60.0])
def test_a_years_sun_on_a_wall_agrees_with_a_ray_for_every_moment(latitude: float) -> None:
    turned = {"t": 0.0, "o": 180.0, "e": 270.0} if latitude > 0 else {"t": 180.0, "o": 0.0, "e": 270.0}
    room_, _ = room()
    walls = tuple(Wall(w.id, "r", w.id, w.length, w.height, faces_deg=turned[w.id], items=w.items) for w in room_.walls)
    room_, wall = Room("r", "Room", walls=walls), walls[0]
    found = sunshine(room_, wall, latitude, 4000.0)
    assert found is not None
    assert not found.depth_assumed
    assert found.hours.max() > 5
    for row, column in ((1, 4), (3, 12), (5, 20), (8, 8)):
        truth = brute(room_, wall, latitude, 144 * scenes.INCH, found.x[column], found.y[row])
        assert found.hours[row, column] == pytest.approx(truth, rel=0.02, abs=0.6)


def test_a_wall_beside_a_window_is_never_lit_by_it_and_a_wall_without_windows_in_its_room_is_dark() -> None:
    alone = scenes.wall(scenes.item("window", 30, 24, 60, 60), faces_deg=180.0)
    found = sunshine(Room("r", "Room", walls=(alone,)), alone, 40.0, 4000.0)
    assert found is not None
    assert not found.hours.any()


def test_an_unknown_bearing_gives_no_figure() -> None:
    room_, wall = room()
    unknown = Wall("x", "r", "x", 1000.0, 2500.0, items=room_.walls[1].items)
    assert sunshine(Room("r", "R", walls=(wall, unknown)), wall, 40.0, 4000.0) is None
    assert sunshine(Room("r", "R", walls=(unknown,)), unknown, 40.0, 4000.0) is None


def test_the_depth_is_taken_from_a_side_wall_and_else_assumed_and_said_so() -> None:
    with_side, wall = room(depth_in=200.0)
    without, alone = room(depth_in=None)
    surveyed, assumed = sunshine(with_side, wall, 40.0, 4000.0), sunshine(without, alone, 40.0, 4000.0)
    assert surveyed is not None
    assert assumed is not None
    assert not surveyed.depth_assumed
    assert assumed.depth_assumed


def test_three_day_steps_stand_for_every_day(monkeypatch: pytest.MonkeyPatch) -> None:
    room_, _ = room()
    walls = tuple(
        Wall(w.id, "r", w.id, w.length, w.height, faces_deg=(w.faces_deg + 180) % 360, items=w.items)
        for w in room_.walls
    )
    room_ = Room("r", "Room", walls=walls)
    coarse = sunshine(room_, walls[0], 41.0, 4000.0)
    monkeypatch.setattr(sunlight, "STEP_DAYS", 1)
    sunlight._beams.cache_clear()
    fine = sunshine(room_, walls[0], 41.0, 4000.001)
    sunlight._beams.cache_clear()
    assert coarse is not None
    assert fine is not None
    area = Rect(walls[0].length / 4, 800.0, walls[0].length / 2, 900.0)
    assert coarse.over(area) == pytest.approx(fine.over(area), rel=0.02)


@pytest.mark.parametrize(("latitude", "depth"), [(91.0, 4000.0), (40.0, 0.0)])
def test_senseless_places_are_refused(latitude: float, depth: float) -> None:
    room_, wall = room()
    with pytest.raises(ValueError, match="makes no sense"):
        sunshine(room_, wall, latitude, depth)
