"""One line of the log: who works is named, people are not, and no exception speaks for itself."""

from __future__ import annotations

import json
import logging
from types import SimpleNamespace

from studio import gunicorn
from studio.logs import JsonFormatter, RequestIdFilter


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


def test_the_server_says_of_an_answer_that_broke_off_which_request_it_was(client, caplog):
    """As gunicorn's workers do: hook, application, answer, its line where that breaks, hook."""
    caplog.handler.addFilter(RequestIdFilter())
    told = []
    for given in ("from-a-proxy-77", "x", ""):
        req = SimpleNamespace(headers=[("HOST", "testserver"), ("X-REQUEST-ID", given)])
        gunicorn.pre_request(None, req)
        answer = client.get("/health/live", headers={"X-Request-ID": dict(req.headers)["X-REQUEST-ID"]})
        logging.getLogger("gunicorn.error").error("Error handling request")
        gunicorn.post_request(None, req, {}, None)
        told.append(json.loads(JsonFormatter().format(caplog.records[-1]))["request_id"])
        assert told[-1] == answer["X-Request-ID"]
    logging.getLogger("gunicorn.error").warning("Invalid request")
    assert told[0] == "from-a-proxy-77"
    assert len(set(told)) == 3
    assert caplog.records[-1].request_id == "-"
