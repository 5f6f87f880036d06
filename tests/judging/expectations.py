"""Which expectations proposals meet: `python -m tests.judging.expectations [WORD...] [--by-hand]`.

Words choose surveys by name. `--by-hand` judges the surveys' own hand-made hangings instead, which meet them all.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable

from placements.engine.results import Hanging

from .building import Case
from .proposing import proposed
from .seeing import ALWAYS, Seen, looked
from .surveys import CASES


def failures(case: Case, hangings: Iterable[Hanging]) -> list[str]:
    """A sentence for each expectation that a hanging of the case's house does not meet."""
    seen = Seen(case.house, hangings)
    found = []
    for check, why in (*ALWAYS, *case.expects):
        said = looked(check, seen)
        if said:
            found.append(f"{why} But: {said}.")
    return found


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.judging.expectations", description=__doc__)
    parser.add_argument("words", nargs="*")
    parser.add_argument("--by-hand", action="store_true")
    asked = parser.parse_args()
    chosen = [case for case in CASES if not asked.words or any(word in case.name for word in asked.words)]
    met = 0
    for case in chosen:
        found = failures(case, case.hung if asked.by_hand else proposed(case.house).hangings)
        met += not found
        sys.stdout.write(f"{'fail' if found else 'pass'}  {case.name}\n" + "".join(f"      {one}\n" for one in found))
        sys.stdout.flush()
    sys.stdout.write(f"{met} of {len(chosen)} meet every expectation\n")


if __name__ == "__main__":
    main()
