"""Callers who send or read slowly, or send too much: others are answered meanwhile, and the slow ones are closed in the
time that `studio/nginx.conf` states. Slowly sent heads and bodies and slowly read answers are the three ways of
CWE-400's slow attacks on web servers."""

from __future__ import annotations

import hashlib
import json
import selectors
import shutil
import socket
import threading
import time
import urllib.request
from collections.abc import Callable, Iterator

import pytest
from django.conf import settings
from django.core.files.base import ContentFile
from django.test import Client

from reports.models import Report
from tests.conftest import cannot_run
from tests.reports.signing import signed_house
from tests.web import Web, run_proxy, run_web

pytestmark = [pytest.mark.processes, pytest.mark.django_db(transaction=True)]

#: Of each kind more than there are threads.
MANY = 24
#: As `studio/nginx.conf` states: a head is whole in this time, nothing stands still for longer than that [s].
HEAD_S, STILL_S = 10, 15
SHEET_BYTES = 6 * 1024 * 1024
#: What a loaded machine may take beyond the stated times [s].
SLACK_S = 8


@pytest.fixture
def web(process_env, tmp_path) -> Iterator[Web]:
    with run_web(process_env, tmp_path) as running:
        yield running


@pytest.fixture
def proxy(web, tmp_path) -> Iterator[Web]:
    if shutil.which("nginx") is None:
        cannot_run("no nginx on PATH (Debian: apt-get install nginx-light)")
    with run_proxy(web, tmp_path) as running:
        yield running


@pytest.fixture
def sheet(cast) -> str:
    """The address of a large file, and the cookie of who may have it."""
    report = Report.objects.create(
        revision=signed_house(cast, pictures=False).revision, paper="letter", fingerprint="f" * 64, state="ready",
        requested_by=cast.designer, pages=1,
    )  # fmt: skip
    content = b"%PDF-1.7 " + b"x" * SHEET_BYTES
    report.file_sha256 = hashlib.sha256(content).hexdigest()
    report.file.save("sheet.pdf", ContentFile(content))
    client = Client()
    client.force_login(cast.designer)
    return (
        f"GET /sheets/{report.pk}/file/ HTTP/1.1\r\nHost: 127.0.0.1\r\n"
        f"Cookie: {settings.SESSION_COOKIE_NAME}={client.cookies[settings.SESSION_COOKIE_NAME].value}\r\n\r\n"
    )


@pytest.fixture
def call() -> Iterator[Callable[..., socket.socket]]:
    """Connects and says something; reads no more at once than `window` bytes, if given."""
    callers = []

    def connect(web: Web, said: str, *, window: int = 0) -> socket.socket:
        caller = socket.socket()
        callers.append(caller)
        if window:
            caller.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, window)
        caller.connect(("127.0.0.1", web.port))
        caller.sendall(said.encode())
        return caller

    yield connect
    for caller in callers:
        caller.close()


def answer(caller: socket.socket, timeout: float = 15) -> str:
    """All that comes until the server closes the connection or nothing comes any more."""
    caller.settimeout(timeout)
    said = b""
    try:
        while data := caller.recv(65536):
            said += data
    except (TimeoutError, ConnectionResetError):
        pass
    return said.decode("latin-1")


def still_open(caller: socket.socket) -> bool:
    """Whether the server has neither answered nor closed, for one who reads nothing."""
    with selectors.DefaultSelector() as selector:
        selector.register(caller, selectors.EVENT_READ)
        return not selector.select(0)


def fetch(web: Web, path: str) -> int:
    with urllib.request.urlopen(web.url + path, timeout=HEAD_S) as got:
        got.read()
        return got.status


class Dribbling:
    """Sends one byte a second on each connection until it is closed, and notes when that was."""

    def __init__(self, callers: list[socket.socket]) -> None:
        self.callers, self.closed, self.began = callers, {}, time.monotonic()
        self.thread = threading.Thread(target=self._run)
        self.thread.start()

    def _run(self) -> None:
        while len(self.closed) < len(self.callers) and time.monotonic() - self.began < 60:
            for caller in set(self.callers) - set(self.closed):
                try:
                    caller.send(b"x")
                    if not still_open(caller) and not caller.recv(4096):
                        raise ConnectionError
                except OSError:
                    self.closed[caller] = time.monotonic() - self.began
            time.sleep(1)

    def times(self) -> list[float]:
        self.thread.join()
        return list(self.closed.values())


def test_slow_callers_hold_up_nobody_and_are_closed(proxy, call, sheet):
    heads = [call(proxy, "GET /account/login/ HTTP/1.1\r\nHost: 127.0.0.1\r\nX-A: ") for _ in range(MANY)]
    post = "POST /account/login/ HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 5000\r\n\r\nlogin="
    bodies = [call(proxy, post) for _ in range(MANY)]
    readers = [call(proxy, sheet, window=4096) for _ in range(MANY)]
    began = time.monotonic()
    dribbling = Dribbling(heads)
    # Everybody else is answered while all of them are there.
    for _ in range(10):
        assert fetch(proxy, "/account/login/") == 200
        assert fetch(proxy, "/health/ready") == 200
    assert not dribbling.closed
    assert all(caller.recv(64).startswith(b"HTTP/1.1 200") for caller in readers)
    # Slow readers hold nothing back that is sent quickly.
    assert len(answer(call(proxy, sheet.replace("Host:", "Connection: close\r\nHost:")))) > SHEET_BYTES
    times = dribbling.times()
    assert len(times) == MANY
    assert max(times) < HEAD_S + SLACK_S
    time.sleep(max(0.0, began + STILL_S + SLACK_S - time.monotonic()))
    assert not any(still_open(caller) for caller in bodies), "a body that stands still was waited for"
    # Those who read nothing cannot see it; once they do, the rest is missing.
    assert all(len(answer(caller)) < SHEET_BYTES for caller in readers), "a slow reader was waited for"


def test_bodies_that_dribble_hold_no_thread_and_one_address_only_so_many(proxy, call):
    post = "POST /account/login/ HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 5000\r\n\r\nlogin="
    callers = [call(proxy, post) for _ in range(90)]
    for caller in callers:
        caller.sendall(b"x")
    assert fetch(proxy, "/account/login/") == 200
    callers += [call(proxy, post) for _ in range(15)]
    until_no = time.monotonic() + HEAD_S
    while all(still_open(caller) for caller in callers) and time.monotonic() < until_no:
        time.sleep(0.1)
    refused = [answer(caller, 1) for caller in callers if not still_open(caller)]
    assert refused
    assert all(said.startswith("HTTP/1.1 429") and "Retry-After: 10" in said for said in refused)
    # Whoever keeps TLS in front names another caller, whom this does not concern.
    another = "GET /health/live HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Forwarded-For: 192.0.2.7\r\nConnection: close\r\n\r\n"
    assert answer(call(proxy, another)).startswith("HTTP/1.1 200")


def test_body_too_large_is_refused_unread(proxy, call):
    head = "POST /account/login/ HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n"
    said = answer(call(proxy, f"{head}Content-Length: {settings.MAX_BODY_BYTES + 1}\r\n\r\nsome of it"))
    assert said.startswith("HTTP/1.1 413")
    assert json.loads(said.partition("\r\n\r\n")[2])["code"] == "too-large"
    said = answer(call(proxy, f"{head}Content-Length: 5\r\nContent-Length: 6\r\n\r\nabcde"))
    assert said.startswith("HTTP/1.1 400")
    said = answer(call(proxy, f"{head}Transfer-Encoding: chunked\r\n\r\n6\r\nlogin=\r\n0\r\n\r\n"))
    assert said.startswith("HTTP/1.1 403"), "a form without its token is refused once it was read"


def test_callers_that_break_off_break_nothing(proxy, web, call):
    for said in (
        "",
        "GET",
        "POST / HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 50\r\n\r\nabc",
        "\x16\x03\x01nonsense\r\n\r\n",
    ):
        for server in (proxy, web):
            for _ in range(5):
                call(server, said).close()
    assert fetch(proxy, "/health/live") == 200
    assert fetch(web, "/health/live") == 200
    assert "Traceback" not in web.log.read_text()
