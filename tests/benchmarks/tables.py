"""Runs benchmarks and writes their rows as lines."""

from __future__ import annotations

import importlib
import logging
import multiprocessing
import os
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor

import django

from tests.benchmarks import Row


def line(row: Row, *, smoke: bool) -> str:
    sign = "≥" if row.at_least else "≤"
    verdict = "" if smoke else "holds" if row.holds else "MISSED"
    return f"{row.what:<58} {row.figure:<44} {row.ratio:>9.2f}  {sign} {row.bar:<7g} {verdict}"


def table(name: str, *, smoke: bool) -> Iterator[tuple[str, bool]]:
    """A module's lines, and whether each holds."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
    django.setup()
    logging.disable(logging.WARNING)  # a table is printed, not what was done for it
    for row in importlib.import_module(f"tests.benchmarks.{name}").rows(smoke=smoke):
        yield line(row, smoke=smoke), row.holds


def smoke_table(name: str) -> list[tuple[str, bool]]:
    return list(table(name, smoke=True))


def tables(names: list[str], *, smoke: bool) -> Iterator[Iterable[tuple[str, bool]]]:
    """The tables of modules: figures that judge are taken one after the other, while a smoke run, which only sees that
    they can be taken, works at as many modules at once as there are cores."""
    if not smoke:
        yield from (table(name, smoke=False) for name in names)
        return
    with ProcessPoolExecutor(mp_context=multiprocessing.get_context("spawn"), max_tasks_per_child=1) as pool:
        yield from pool.map(smoke_table, names)
