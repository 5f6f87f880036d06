"""Prints the benchmark table: `python -m tests.benchmarks [--smoke] [WORD...]`; words choose modules by name."""

from __future__ import annotations

import pkgutil
import sys
import time
from pathlib import Path

from tests.benchmarks.tables import tables


def modules(words: list[str]) -> list[str]:
    names = [module.name for module in pkgutil.iter_modules([str(Path(__file__).parent)])]
    return [name for name in names if name.startswith("bench_") and (not words or any(word in name for word in words))]


def main(arguments: list[str]) -> int:
    smoke = "--smoke" in arguments
    chosen = modules([word for word in arguments if not word.startswith("-")])
    write = sys.stdout.write
    write(f"{'what':<58} {'measured':<44} {'ratio':>9}  bar\n")
    missed = 0
    started = time.perf_counter()
    for lines in tables(chosen, smoke=smoke):
        for text, holds in lines:
            write(text + "\n")
            sys.stdout.flush()
            missed += not holds
    write(f"{len(chosen)} modules in {time.perf_counter() - started:.0f} s\n")
    # Small sizes are for seeing that it runs; only the full run judges.
    return 1 if not chosen or (missed and not smoke) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
