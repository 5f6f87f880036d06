"""A short smoke run on SQLite, then the whole suite on PostgreSQL and Redis: `python -m tests [pytest options]`.

The whole suite runs on one process more than there are cores: some tests wait for a browser or for other processes.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

TESTS = Path(__file__).resolve().parent
#: Each process has a stretch of the order of `tests.conftest`; one that is done takes over half of another's rest.
PARALLEL = ("-n", str((os.cpu_count() or 1) + 1), "--dist", "worksteal")
NOTHING_COLLECTED = 5


def run(*options: str, **environment: str) -> int:
    command = [sys.executable, "-m", "pytest", *options]
    return subprocess.call(command, env=os.environ | environment)


def smoke_files() -> list[str]:
    """Only these are read for the smoke run: reading all of them takes longer than running it."""
    return [str(path) for path in sorted(TESTS.rglob("test_*.py")) if "mark.smoke" in path.read_text(encoding="utf-8")]


def main(options: list[str]) -> int | str:
    # The smoke run goes first, so that the last lines of the output are the whole suite's.
    smoke = 0 if options else run("-q", "-m", "smoke", *smoke_files(), TEST_DATABASE="sqlite", DATABASE_URL="")
    whole = run(*(options or PARALLEL))
    if NOTHING_COLLECTED in (smoke, whole):
        return "No test ran: that is a failure."
    return smoke or whole


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
