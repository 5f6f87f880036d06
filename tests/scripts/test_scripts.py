"""The pages' scripts without a page, by Node's own test runner: one test here for each file of tests there."""

from __future__ import annotations

import json
import re
from pathlib import Path

import cv2
import numpy as np
import pytest
from scipy.ndimage import map_coordinates

from tests.scripts import tools

FILES = sorted(path.name for path in tools.FOLDER.glob("*.test.js"))
OPTIONS = ("--import=./tests/scripts/served.js", "--test-reporter=tap", "--disable-warning=ExperimentalWarning")


def test_every_pure_part_has_a_file():
    assert {
        f"{part}.test.js" for part in ("job", "lengths", "perspective", "snapping", "store", "sync", "wall-state")
    } <= set(FILES)


@pytest.mark.parametrize("file", FILES)
def test_scripts(file):
    ran = tools.node(*OPTIONS, f"tests/scripts/{file}")
    counts = {name: int(count) for name, count in re.findall(r"^# (tests|pass|fail) (\d+)$", ran.stdout, re.M)}
    assert ran.returncode == 0, ran.stdout
    assert counts.get("tests", 0) > 0, f"no test ran: {ran.stdout}"
    assert counts["pass"] == counts["tests"], ran.stdout


def test_perspective_numbers_are_those_of_opencv_and_scipy():
    fixture = json.loads(Path(__file__).with_name("perspective.json").read_text(encoding="utf-8"))
    for case in fixture["cases"]:
        matrix = _from_unit_square(case["corners"])
        assert matrix.ravel()[:8] == pytest.approx(case["matrix"], rel=1e-6, abs=1e-6)
    picture = fixture["picture"]
    assert _straightened(picture) == pytest.approx(picture["out"]["values"], abs=1e-3)


def _from_unit_square(corners: list[list[float]]) -> np.ndarray:
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float32)
    return cv2.getPerspectiveTransform(square, np.array(corners, np.float32), solveMethod=cv2.DECOMP_SVD)


def _straightened(picture: dict) -> list[float]:
    """What the corners enclose, each pixel's middle taken into the picture and interpolated linearly there."""
    out = picture["out"]
    across, down = np.meshgrid(
        (np.arange(out["width"]) + 0.5) / out["width"], (np.arange(out["height"]) + 0.5) / out["height"]
    )
    shares = np.stack([across.ravel(), down.ravel()], axis=-1)[None]
    x, y = cv2.perspectiveTransform(shares, _from_unit_square(picture["corners"]))[0].T - 0.5
    values = np.array(picture["values"], float).reshape(picture["height"], picture["width"])
    return list(map_coordinates(values, [y, x], order=1, mode="nearest"))


@pytest.mark.parametrize("name", ["package.json", "package-lock.json"])
def test_lock_names_no_host(name):
    assert "://" not in (tools.FOLDER / name).read_text(encoding="utf-8"), (
        "python -m tests.scripts.tools writes it without"
    )
