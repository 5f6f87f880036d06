"""What cleaning and measuring a photograph takes of memory, told by a process of its own. Run with its path."""

from __future__ import annotations

import sys
from pathlib import Path

import cv2
import django
import numpy as np


def main(path: str) -> None:
    django.setup()
    from placements.photogrammetry.reading import read_photo
    from studio.services.pictures import photograph_clean

    before = peak_mb()
    clean = photograph_clean(Path(path).read_bytes())
    pixels = cv2.imdecode(np.frombuffer(clean.jpeg, np.uint8), cv2.IMREAD_COLOR)
    read_photo(np.asarray(pixels), ruler_mm=100.0)
    sys.stdout.write(f"{before} {peak_mb()}\n")


def peak_mb() -> int:
    """The most that was ever resident (Linux). `ru_maxrss` would count the parent's, from which this forked."""
    return int(Path("/proc/self/status").read_text().partition("VmHWM:")[2].split()[0]) // 1024


if __name__ == "__main__":
    main(sys.argv[1])
