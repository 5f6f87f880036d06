"""The measuring held against the truth of a rendered photograph."""

from __future__ import annotations

import time
from collections.abc import Iterable
from dataclasses import dataclass, field

import cv2
import numpy as np

from placements.photogrammetry.errors import PhotoError
from placements.photogrammetry.reading import read_photo
from placements.photogrammetry.solve import plus_minus

from .scenes import Shot

#: A piece counts as found where each corner that is offered is this near to where it is [mm].
FOUND_MM = 60.0


@dataclass
class Tally:
    """Over photographs of one class. Errors and what was stated are per corner [mm], middles per piece."""

    photos: int = 0
    read: int = 0
    pieces: int = 0
    found: int = 0
    invented: int = 0
    seconds: list[float] = field(default_factory=list)
    errors: list[float] = field(default_factory=list)
    stated: list[float] = field(default_factory=list)

    @property
    def covered(self) -> float:
        return float(np.mean(np.array(self.errors) <= np.array(self.stated))) if self.errors else 0.0

    def line(self) -> str:
        if not self.errors:
            return f"{self.read} of {self.photos} read"
        error, stated = np.array(self.errors), np.array(self.stated)
        times = np.median(stated) / np.median(error)
        return (
            f"{self.read}/{self.photos} read; {self.found}/{self.pieces} found, {self.invented} invented; "
            f"corner median {np.median(error):.2f}, 95 % {np.quantile(error, 0.95):.1f}, worst {error.max():.1f} mm; "
            f"covered {self.covered:.1%}, stated median {np.median(stated):.1f} = {times:.1f} x; "
            f"{np.median(self.seconds):.1f} s"
        )


def tally(shots: Iterable[Shot], *, depth_known: bool, ruler_mm: float | None = 100.0) -> Tally:
    """Measure each photograph and hold what it offers against the truth.

    Args:
        depth_known: whether a person has said which work each frame is, so that its depth is on record.
    """
    found = Tally()
    for one in shots:
        judge(found, one, depth_known=depth_known, ruler_mm=ruler_mm)
    return found


def judge(found: Tally, shot: Shot, *, depth_known: bool, ruler_mm: float | None) -> None:
    found.photos += 1
    found.pieces += len(shot.boxes)
    start = time.process_time()
    try:
        reading = read_photo(shot.pixels, focal_ratio=shot.told, ruler_mm=ruler_mm)
    except PhotoError:
        return
    found.seconds.append(time.process_time() - start)
    found.read += 1
    lab = cv2.cvtColor(shot.pixels, cv2.COLOR_BGR2LAB)
    candidates, used = reading.candidates, set()
    for box in shot.boxes:
        true = shot.corners(box)
        away = [float(np.hypot(*(candidate.plane - true).T).max()) for candidate in candidates]
        best = int(np.argmin(away)) if away else -1
        if best < 0 or away[best] > FOUND_MM or best in used:
            continue
        used.add(best)
        candidate = candidates[best].in_relief(lab, reading.fit, box.depth) if depth_known else candidates[best]
        plane, covariance = candidate.plane, candidate.covariance
        found.errors += np.hypot(*(plane - true).T).tolist()
        found.stated += plus_minus(covariance).tolist()
    found.found += len(used)
    found.invented += len(candidates) - len(used)
