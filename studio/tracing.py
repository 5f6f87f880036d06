"""Traces for OpenTelemetry, where the environment names a collector; else nothing of it is imported.

The id of a trace is the id of the request that log lines name, so that one trace holds a click, its statements, and the
work that a worker does for it later. Spans say no more than log lines may: routes, numbers and ids of our own, and of a
statement its text with placeholders.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from django.conf import settings
from django.db.backends.signals import connection_created

from .logs import request_id

if TYPE_CHECKING:
    from opentelemetry.sdk.trace import SpanProcessor, TracerProvider
    from opentelemetry.trace import Tracer

OWN_ID = re.compile(r"[0-9a-f]{32}")
_provider: TracerProvider | None = None
_tracer: Tracer | None = None


def trace_of(request: str) -> int:
    """The trace of a request: its id, read as a number; of another shape's the first half of its SHA-256."""
    own = request if OWN_ID.fullmatch(request) else hashlib.sha256(request.encode()).hexdigest()[:32]
    return int(own, 16)


def start(processor: SpanProcessor | None = None) -> None:
    """Start tracing in this process, after it was forked; does nothing where no collector is named.

    Parameters
    ----------
    processor : takes the spans instead of the collector.
    """
    global _provider, _tracer
    if processor is None and not settings.TRACES_TO:
        return
    from opentelemetry.sdk.resources import Resource
    from opentelemetry.sdk.trace import TracerProvider
    from opentelemetry.sdk.trace.id_generator import RandomIdGenerator

    class Ids(RandomIdGenerator):
        def generate_trace_id(self) -> int:
            asked = request_id.get()
            return super().generate_trace_id() if asked == "-" else trace_of(asked)

    if processor is None:
        from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
        from opentelemetry.sdk.trace.export import BatchSpanProcessor

        processor = BatchSpanProcessor(OTLPSpanExporter())
    named = Resource.create({"service.name": settings.TRACED_AS})
    _provider = TracerProvider(resource=named, id_generator=Ids())
    _provider.add_span_processor(processor)
    _tracer = _provider.get_tracer("overmantel")
    connection_created.connect(_watch, dispatch_uid="tracing")


def stop() -> None:
    """Send what is kept, and trace no more in this process."""
    global _provider, _tracer
    if _provider is not None:
        _provider.shutdown()
    _provider = _tracer = None
    connection_created.disconnect(dispatch_uid="tracing")


@contextmanager
def span(name: str, **facts: str | int | float) -> Iterator[Callable[..., None]]:
    """A span for what is done inside. Gives a function that renames it and adds facts known only at its end."""
    if _tracer is None:
        yield _nothing
        return
    with _tracer.start_as_current_span(
        name, attributes=facts, record_exception=False, set_status_on_exception=False
    ) as under_way:

        def tell(name: str = name, **more: str | int | float) -> None:
            under_way.update_name(name)
            under_way.set_attributes(more)

        yield tell


def _nothing(name: str = "", **more: str | int | float) -> None:
    pass


def _watch(connection: Any, **kwargs: Any) -> None:
    if statement not in connection.execute_wrappers:
        connection.execute_wrappers.append(statement)


def statement(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: dict[str, Any]) -> Any:
    """A span for one statement, as a wrapper of a connection's."""
    with span(sql.partition(" ")[0], **{"db.query.text": sql[:1000]}):
        return execute(sql, params, many, context)
