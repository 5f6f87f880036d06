"""Prints how well solid frames are measured: `python -m tests.darkroom [--count 40] [--seed 1]`."""

from __future__ import annotations

import argparse
import secrets
import sys

from .judge import tally
from .scenes import DEEP_MM, shot

#: Depths of each class [mm], and whether its pieces lie on a floor of boards.
CLASSES = {"flat": ((0.2, 0.5), False), "deep": (DEEP_MM, False), "floor": (DEEP_MM, True)}


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.darkroom", description=__doc__)
    parser.add_argument("--count", type=int, default=40, help="photographs of each class")
    parser.add_argument("--seed", type=int, default=secrets.randbelow(10**9), help="a new one each time, unless given")
    asked = parser.parse_args()
    sys.stdout.write(f"seed {asked.seed}\n")
    for name, (depths, floor) in CLASSES.items():
        for known in (False, True):
            photographs = (shot(asked.seed + one, depths=depths, floor=floor) for one in range(asked.count))
            line = tally(photographs, depth_known=known).line()
            sys.stdout.write(f"{name}, works {'known' if known else 'unknown'}: {line}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
