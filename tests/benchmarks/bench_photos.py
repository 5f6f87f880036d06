"""Measuring photographs: a hundred of twelve megapixels with a known camera against the bars, and the time one takes.

Tilted by up to 35 degrees, mild barrel distortion, noise, uneven light, JPEG 80. Seeds from 1000 on.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np

from placements.photogrammetry.camera import View
from placements.photogrammetry.errors import CardNotFound
from placements.photogrammetry.reading import read_photo
from tests.benchmarks import Row
from tests.placements.photogrammetry.layouts import VIEW, Trial, photograph, trial

FIRST_SEED = 1000
QUARTER_INCH, EIGHTH_INCH = 6.35, 3.175
MOST_MEMORY_MB = 512


def rows(smoke: bool) -> Iterator[Row]:
    count, view = (1, View(2000, 1500)) if smoke else (50, VIEW)
    plain = [trial(FIRST_SEED + seed, view=view) for seed in range(count)]
    boards = [trial(FIRST_SEED + count + seed, textured=True, view=view) for seed in range(count)]
    both = [*plain, *boards]
    read = np.mean([one.card_found for one in both])
    yield Row("photos: cards read", f"{read:.1%} of {len(both)}", float(read), 0.98)
    yield from _found("plain ground", plain, 0.90)
    yield from _found("boarded floor", boards, 0.75)
    errors = np.array([error for one in plain for error in one.errors])
    stated = np.array([value for one in plain for value in one.stated])
    within = (errors <= QUARTER_INCH).mean()
    figure = f"{within:.1%} of {len(errors)} within 1/4 in, worst {errors.max():.2f} mm"
    yield Row("photos: corners over 6 ft", figure, float(within), 0.99)
    median = float(np.median(errors))
    yield Row("photos: median corner [mm]", f"median {median:.2f} mm", median, EIGHTH_INCH, False)
    every = [(e, s) for one in both for e, s in zip(one.errors, one.stated, strict=True)]
    cover = float(np.mean([error <= value for error, value in every]))
    figure = f"{cover:.1%} of corners covered, stated median {np.median(stated):.1f} mm"
    yield Row("photos: stated error covers the true one", figure, cover, 0.95)
    yield _time(view, 1 if smoke else 5)
    yield from _memory(view, [1.0] if smoke else [1.0, 2.0])
    yield _without_a_card(view)


def _found(what: str, trials: list[Trial], bar: float) -> Iterator[Row]:
    pieces, found = sum(one.pieces for one in trials), sum(one.found for one in trials)
    offered = sum(one.invented for one in trials)
    figure = f"{found} of {pieces}; {offered} offers that are no frame"
    yield Row(f"photos: frames found, {what}", figure, found / pieces, bar)


def _time(view: View, count: int) -> Row:
    """Processor seconds, since others may share the machine."""
    took = []
    for seed in range(count):
        shot, _, _ = photograph(FIRST_SEED + seed, view=view)
        start = time.process_time()
        read_photo(shot.pixels, ruler_mm=100.0)
        took.append(time.process_time() - start)
    figure = f"median {np.median(took):.2f} s, worst {max(took):.2f} s (load {os.getloadavg()[0]:.1f})"
    return Row(f"photos: processor seconds, {view.width * view.height / 1e6:.0f} MP", figure, max(took), 3.0, False)


def _memory(view: View, grown: list[float]) -> Iterator[Row]:
    """The most that a process of its own holds while it cleans and measures a photograph, the program included."""
    shot, _, _ = photograph(FIRST_SEED, view=view)
    with tempfile.TemporaryDirectory() as folder:
        for times in grown:
            file = Path(folder) / "photo.jpg"
            cv2.imwrite(str(file), cv2.resize(shot.pixels, None, fx=times, fy=times), [cv2.IMWRITE_JPEG_QUALITY, 90])
            command = [sys.executable, "-m", "tests.benchmarks.photo_memory", str(file)]
            ran = subprocess.run(command, capture_output=True, text=True, check=True)
            before, peak = (int(value) for value in ran.stdout.split()[:2])
            what = f"photos: peak memory [MB], {view.width * view.height * times**2 / 1e6:.0f} MP"
            yield Row(what, f"{peak} MB, {before} MB of it the program", peak, MOST_MEMORY_MB, False)


def _without_a_card(view: View) -> Row:
    shot, _, _ = photograph(FIRST_SEED, view=view)
    blank = shot.pixels.copy()
    blank[:] = np.median(blank.reshape(-1, 3), axis=0)
    try:
        read_photo(blank)
    except CardNotFound:
        return Row("photos: readings without a card", "none offered", 0.0, 0.0, False)
    return Row("photos: readings without a card", "one offered", 1.0, 0.0, False)
