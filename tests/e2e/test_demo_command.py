"""`manage.py demo`: from an empty folder to a site that answers, then stopped with nothing left running."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from tests import servers

pytestmark = pytest.mark.processes
ROOT = Path(__file__).resolve().parents[2]


def demo(folder: Path, port: int) -> subprocess.Popen[str]:
    unset = {"DATABASE_URL", "REDIS_URL", "OVERMANTEL_ENV"}
    environment = {key: value for key, value in os.environ.items() if key not in unset}
    return subprocess.Popen(
        [sys.executable, "-u", "manage.py", "demo"],
        cwd=ROOT,
        env=environment | {"VAR_DIR": str(folder), "PORT": str(port)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


def running() -> dict[int, int]:
    """Every process and its parent."""
    rows = subprocess.run(["ps", "-eo", "pid=,ppid="], capture_output=True, text=True, check=True).stdout.split("\n")
    return {int(pid): int(parent) for pid, parent in (row.split() for row in rows if row.strip())}


def family(leader: int) -> list[int]:
    """The processes whose ancestor is `leader`."""
    parents, found = running(), [leader]
    for _ in range(6):
        found += [pid for pid, parent in parents.items() if parent in found and pid not in found]
    return found[1:]


def test_demo_starts_answers_refuses_a_busy_port_and_stops(tmp_path):
    port = servers.free_port()
    first = demo(tmp_path, port)
    try:
        said = ""
        while "Ctrl-C stops it" not in said:
            line = first.stdout.readline()
            assert line, first.stderr.read()
            said += line
        assert f"http://127.0.0.1:{port}/" in said
        for role in ("Designer", "Principal"):
            assert role in said
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/account/login/", timeout=20) as answer:
            assert answer.status == 200
        children = family(first.pid)
        assert len(children) >= 3
        second = demo(tmp_path, port)
        _, fault = second.communicate(timeout=60)
        assert second.returncode == 1
        assert f"make demo PORT={port + 1}" in fault
    finally:
        first.send_signal(signal.SIGINT)
        try:
            _, fault = first.communicate(timeout=60)
        finally:
            servers.kill_group(first)
    assert first.returncode == 0, fault
    until = time.monotonic() + 10  # helpers of processes that ended follow them in a moment
    while left := set(children) & set(running()):
        assert time.monotonic() < until, left
        time.sleep(0.2)
    assert (tmp_path / "overmantel.sqlite3").exists()
