"""Prints the benchmark table: `python -m tests.benchmarks [--smoke] [WORD...]`; words choose modules by name."""

from __future__ import annotations

import importlib
import logging
import os
import pkgutil
import sys
import time
from pathlib import Path

import django

from tests.benchmarks import Row


def modules(words: list[str]) -> list[str]:
    names = [module.name for module in pkgutil.iter_modules([str(Path(__file__).parent)])]
    return [name for name in names if name.startswith("bench_") and (not words or any(word in name for word in words))]


def line(row: Row, *, smoke: bool) -> str:
    sign = "≥" if row.at_least else "≤"
    verdict = "" if smoke else "holds" if row.holds else "MISSED"
    return f"{row.what:<58} {row.figure:<44} {row.ratio:>9.2f}  {sign} {row.bar:<7g} {verdict}"


def main(arguments: list[str]) -> int:
    smoke = "--smoke" in arguments
    chosen = modules([word for word in arguments if not word.startswith("-")])
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
    django.setup()
    logging.disable(logging.WARNING)  # a table is printed, not what was done for it
    write = sys.stdout.write
    write(f"{'what':<58} {'measured':<44} {'ratio':>9}  bar\n")
    missed = 0
    started = time.perf_counter()
    for name in chosen:
        for row in importlib.import_module(f"tests.benchmarks.{name}").rows(smoke=smoke):
            write(line(row, smoke=smoke) + "\n")
            sys.stdout.flush()
            missed += not row.holds
    write(f"{len(chosen)} modules in {time.perf_counter() - started:.0f} s\n")
    # Small sizes are for seeing that it runs; only the full run judges.
    return 1 if not chosen or (missed and not smoke) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
