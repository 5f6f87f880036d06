"""Structured logs: one JSON object a line, with the request's id and without personal data.

What people typed, whole addresses (they may hold a link's token) and the texts of exceptions (databases quote values in
them) stay out: a line has the route's pattern, and of an exception its class and where it was raised.
"""

from __future__ import annotations

import datetime as dt
import json
import logging
import re
import secrets
import traceback
from contextvars import ContextVar

request_id: ContextVar[str] = ContextVar("request_id", default="-")

#: Extra members that a call may log: numbers and ids of our own.
EXTRAS = ("method", "route", "status", "milliseconds", "studio", "work", "row", "job", "task", "seconds", "count")
E_MAIL = re.compile(r"[^\s@<>\"']+@[^\s@<>\"']+")


GIVEN_ID = re.compile(r"[A-Za-z0-9-]{8,64}")


def id_for(given: str) -> str:
    """The id of a request: the one that a proxy sends, where it is a sane one, else a new one."""
    return given if GIVEN_ID.fullmatch(given) else secrets.token_hex(16)


def route_of(request: object) -> str:
    """The pattern of the address, never the address: patterns hold no tokens and no ids."""
    return getattr(getattr(request, "resolver_match", None), "route", None) or "(no route)"


def _masked(found: re.Match[str]) -> str:
    """Names of workers look like addresses, and are none."""
    return found[0] if found[0].startswith("celery@") else "(e-mail)"


def _message(record: logging.LogRecord) -> str:
    """The message; of a task that failed without the text of the exception, which Celery puts in, and of the server
    without addresses."""
    facts = getattr(record, "data", None)
    if isinstance(facts, dict) and "exc" in facts:
        return f"task {facts.get('name')} {facts.get('description', 'failed')}"
    if record.name == "gunicorn.error" and "request" in str(record.msg):
        return str(record.msg).partition("%")[0].strip()  # what follows is the whole address, or the caller's
    return record.getMessage()


class RequestIdFilter(logging.Filter):
    def filter(self, record: logging.LogRecord) -> bool:
        record.request_id = request_id.get()
        return True


class JsonFormatter(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, object] = {
            "time": dt.datetime.fromtimestamp(record.created, dt.UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "request_id": getattr(record, "request_id", "-"),
        }
        request = getattr(record, "request", None)
        if request is not None:
            # The framework's own message holds the whole address.
            line |= {
                "message": "request failed",
                "route": route_of(request),
                "status": getattr(record, "status_code", 0),
            }
        else:
            line["message"] = E_MAIL.sub(_masked, _message(record))
        line |= {name: getattr(record, name) for name in EXTRAS if hasattr(record, name) and name not in line}
        if record.exc_info and record.exc_info[0] is not None:
            line["exception"] = record.exc_info[0].__name__
            line["at"] = [
                f"{frame.filename}:{frame.lineno} {frame.name}" for frame in traceback.extract_tb(record.exc_info[2])
            ][-12:]
        return json.dumps(line, default=str)
