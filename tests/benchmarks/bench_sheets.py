"""Install sheets: what the life of a row costs over a bare rendering of the same page, and what a second worker gains.

Bare: WeasyPrint on the same HTML, stylesheet and fonts parsed once, nothing stored. Ours: claim, lease, signed record,
pictures, template, rendering, file, hash. Both in one run, in processes of their own.
"""

from __future__ import annotations

import multiprocessing
import os
import tempfile
import time
from collections.abc import Iterator
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from tests.benchmarks import Row


def rows(smoke: bool) -> Iterator[Row]:
    sheets = 2 if smoke else 24
    with tempfile.TemporaryDirectory() as folder:
        os.environ["VAR_DIR"] = folder
        os.environ["DATABASE_URL"] = f"sqlite:///{Path(folder) / 'bench.sqlite3'}"
        context = multiprocessing.get_context("spawn")
        _in_a_process(context, _prepare, sheets)
        bare = _in_a_process(context, _bare, sheets)
        one = _draw(context, sheets, workers=1)
        _in_a_process(context, _queue_again)
        two = _draw(context, sheets, workers=2)
        _in_a_process(context, _check, sheets)
    yield Row(
        "a sheet through its row against a bare rendering of the same HTML",
        f"{sheets / one:.2f} sheets/s a worker, bare {sheets / bare:.2f}/s",
        one / bare,
        1.5,
        at_least=False,
    )
    yield Row("two workers against one", f"{sheets / two:.2f} sheets/s with two", one / two, 1.0 if smoke else 1.5)


def _in_a_process(context: Any, work: Any, *args: Any) -> Any:
    ours, theirs = context.Pipe()
    process = context.Process(target=_run, args=(theirs, work, args))
    process.start()
    theirs.close()
    try:
        answer = ours.recv()
    finally:
        process.join()
    return answer


def _draw(context: Any, sheets: int, workers: int) -> float:
    """Seconds from the first claim to the last sheet, once every worker has started up."""
    ready, go = context.Barrier(workers + 1), context.Event()
    started = [context.Process(target=_worker, args=(ready, go)) for _ in range(workers)]
    for process in started:
        process.start()
    ready.wait()
    begun = time.perf_counter()
    go.set()
    for process in started:
        process.join()
    return time.perf_counter() - begun


def _setup() -> None:
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
    os.environ["LOG_LEVEL"] = "ERROR"
    django.setup()


def _run(answer: Connection, work: Any, args: tuple[Any, ...]) -> None:
    _setup()
    answer.send(work(*args))


def _warm() -> None:
    from reports.pdf import render

    render('<html lang="en"><head><title>warm</title></head><body>8′ 0½″</body></html>')


def _worker(ready: Any, go: Any) -> None:
    _setup()
    from reports.rendering import SHEETS, draw

    _warm()
    ready.wait()
    go.wait()
    while (report := SHEETS.claim()) is not None:
        SHEETS.carry_out(report, draw)


def _prepare(sheets: int) -> None:
    import hashlib

    from django.core.management import call_command

    from reports.models import Report
    from tests.factories import make_cast
    from tests.reports.signing import signed_house

    call_command("migrate", verbosity=0)
    cast = make_cast()
    house = signed_house(cast)
    Report.objects.bulk_create(
        Report(
            revision=house.revision,
            paper="letter",
            requested_by=cast.designer,
            fingerprint=hashlib.sha256(str(number).encode()).hexdigest(),
        )
        for number in range(sheets)
    )


def _bare(sheets: int) -> float:
    """Seconds for `sheets` bare renderings of the very page that the workers draw."""
    from reports import pdf, producing
    from reports.models import Report

    seen: list[tuple[str, dict[str, bytes]]] = []
    whole = producing.render
    producing.render = lambda html, pictures: (seen.append((html, pictures)), whole(html, pictures))[1]
    producing.produce(Report.objects.select_related("revision__plan__project__client__studio").first())
    html, pictures = seen[0]
    style, fonts = pdf._style()
    begun = time.perf_counter()
    for _ in range(sheets):
        page = pdf.HTML(string=html, url_fetcher=pdf._Fetcher(pictures))
        page.render(stylesheets=[style], font_config=fonts).write_pdf(pdf_variant="pdf/ua-1")
    return time.perf_counter() - begun


def _queue_again() -> None:
    from reports.models import Report

    Report.objects.update(state="queued", attempts=0, lease_until=None)


def _check(sheets: int) -> None:
    from reports.models import Report

    states = set(Report.objects.values_list("state", flat=True))
    assert states == {"ready"}, states
    assert Report.objects.count() == sheets
