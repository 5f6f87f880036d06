"""One trace from the click to the file, under the id that log lines name, without anything that people typed.

A trace's id is 16 bytes, written as 32 lowercase hexadecimal digits: W3C Trace Context, section 3.2.2.3.
"""

from __future__ import annotations

import sys

import pytest
from django.db import connection
from opentelemetry.sdk.trace.export import SimpleSpanProcessor
from opentelemetry.sdk.trace.export.in_memory_span_exporter import InMemorySpanExporter

from reports import rendering
from reports.models import Report
from reports.pdf import Pdf
from studio import tracing
from tests.reports.signing import signed_house

TYPED = "a-name-that-somebody-typed"


@pytest.fixture
def spans():
    """The spans that ended, as a function."""
    kept = InMemorySpanExporter()
    tracing.start(SimpleSpanProcessor(kept))
    yield kept.get_finished_spans
    tracing.stop()


@pytest.mark.django_db
def test_one_trace_follows_click_task_and_file(cast, client_of, spans, monkeypatch):
    house, client = signed_house(cast, pictures=False), client_of(cast.designer)
    with connection.execute_wrapper(tracing.statement):
        answer = client.post(f"/revisions/{house.revision.pk}/sheets/request/?q={TYPED}", {"of": "job"})
        monkeypatch.setattr(rendering, "produce", lambda _: Pdf(b"%PDF-", 1))
        assert rendering.SHEETS.work(rendering.draw).state == "ready"
    trace = answer["X-Request-ID"]
    assert Report.objects.get().request_id == trace
    ours = [span for span in spans() if format(span.context.trace_id, "032x") == trace]
    names = {span.name for span in ours}
    assert {"POST revisions/<int:pk>/sheets/request/", "report", "file stored", "INSERT", "UPDATE"} <= names
    by_id = {span.context.span_id: span.name for span in ours}
    stored = next(span for span in ours if span.name == "file stored")
    assert by_id[stored.parent.span_id] == "report"
    assert TYPED not in " ".join(span.to_json() for span in ours)


def test_a_proxys_id_of_another_shape_has_a_trace_of_its_own():
    assert tracing.trace_of("4bf92f3577b34da6a3ce929d0e0e4736") == 0x4BF92F3577B34DA6A3CE929D0E0E4736
    assert 0 < tracing.trace_of("from-a-proxy-1") != tracing.trace_of("from-a-proxy-2") < 2**128


def test_without_a_collector_nothing_is_imported(monkeypatch, settings):
    for name in [name for name in sys.modules if name.partition(".")[0] == "opentelemetry"]:
        monkeypatch.setitem(sys.modules, name, None)  # an import would now fail
    tracing.start()
    with tracing.span("anything") as tell:
        tell(state="done")
    assert settings.TRACES_TO == ""
