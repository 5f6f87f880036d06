"""One line of the log: who works is named, people are not, and no exception speaks for itself."""

from __future__ import annotations

import json
import logging

from studio.logs import JsonFormatter


def line(message: str, *arguments: object, **extra: object) -> dict[str, object]:
    record = logging.LogRecord("celery.app.trace", logging.ERROR, __file__, 1, message, arguments, None)
    record.request_id = "-"
    vars(record).update(extra)
    found: dict[str, object] = json.loads(JsonFormatter().format(record))
    return found


def test_a_worker_keeps_its_name_and_a_person_does_not() -> None:
    found = line("%s ready, asked by %s", "celery@worker-2.example", "ada@studio.example")
    assert found["message"] == "celery@worker-2.example ready, asked by (e-mail)"


def test_a_failed_task_is_named_without_the_text_of_its_exception() -> None:
    facts = {"name": "reports.render", "description": "raised unexpected", "exc": "ValueError('Portrait of Ada')"}
    found = line("Task %(name)s raised: %(exc)s", facts, data=facts)
    assert found["message"] == "task reports.render raised unexpected"
    assert "Ada" not in json.dumps(found)


def test_the_servers_own_lines_have_the_same_shape_and_no_address():
    record = logging.LogRecord(
        "gunicorn.error", 40, "", 0, "Error handling request %s", ("/client/secret-token/",), None
    )
    line = json.loads(JsonFormatter().format(record))
    assert line["message"] == "Error handling request"
    assert "secret-token" not in str(line)
    record = logging.LogRecord("gunicorn.error", 20, "", 0, "Listening at: %s (%s)", ("http://0.0.0.0:8000", 7), None)
    assert json.loads(JsonFormatter().format(record))["message"] == "Listening at: http://0.0.0.0:8000 (7)"
