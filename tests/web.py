"""The web server as it is run for real, on ports of its own: the gunicorn command of docker-compose.yml, and nginx with
its configuration in front."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import yaml

from tests import servers

ROOT = Path(__file__).resolve().parent.parent
COMPOSE = ROOT / "docker-compose.yml"
NGINX = ROOT / "studio" / "nginx.conf"


@dataclass
class Web:
    port: int
    process: subprocess.Popen[bytes]
    log: Path

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"


def command() -> list[str]:
    program, *options = yaml.safe_load(COMPOSE.read_text(encoding="utf-8"))["services"]["web"]["command"]
    return [sys.executable, "-m", program, *options]


@contextmanager
def run_web(environment: dict[str, str], folder: Path, processes: int = 2) -> Iterator[Web]:
    """A running web server, which is ended with all its processes."""
    port, log = servers.free_port(), folder / "web.log"
    own = {"PORT": str(port), "WEB_CONCURRENCY": str(processes), "BASE_URL": f"http://127.0.0.1:{port}"}
    with log.open("ab") as out:
        process = subprocess.Popen(
            command(), cwd=ROOT, env=environment | own, stdout=out, stderr=out, start_new_session=True
        )
    web = Web(port, process, log)
    try:
        _await(web)
        yield web
    finally:
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(timeout=40)
        except subprocess.TimeoutExpired:
            servers.kill_group(process)


@contextmanager
def run_production(environment: dict[str, str], folder: Path, processes: int = 2) -> Iterator[Web]:
    """The same with production's settings and its static files collected; no letter can be sent."""
    production = environment | {
        "OVERMANTEL_ENV": "production",
        "SECRET_KEY": "for-this-one-test-run-only-0123456789-0123456789-0123456789",
        "STATIC_ROOT": str(folder / "static"),
        "EMAIL_URL": f"smtp://127.0.0.1:{servers.free_port()}",
    }
    collect = [sys.executable, "manage.py", "collectstatic", "--noinput"]
    own = {"BASE_URL": "http://127.0.0.1"}
    subprocess.run(collect, cwd=ROOT, env=production | own, check=True, capture_output=True)
    with run_web(production, folder, processes) as web:
        yield web


@contextmanager
def run_proxy(web: Web, folder: Path) -> Iterator[Web]:
    """The proxy in front of a running web server."""
    port, log, configured = servers.free_port(), folder / "proxy.log", folder / "nginx.conf"
    text = NGINX.read_text(encoding="utf-8")
    ours = {"listen 8080": f"listen 127.0.0.1:{port}", "web:8000": f"127.0.0.1:{web.port}", "/tmp/": f"{folder}/"}
    for theirs, own in ours.items():
        assert theirs in text
        text = text.replace(theirs, own)
    configured.write_text(text, encoding="utf-8")
    user = "user root; " if servers.ROOT else ""  # whose folder this is
    program = ["nginx", "-c", str(configured), "-e", str(log), "-g", f"{user}daemon off;"]
    with log.open("ab") as out:
        process = subprocess.Popen(program, stdout=out, stderr=out, start_new_session=True)
    proxy = Web(port, process, log)
    try:
        _await(proxy)
        yield proxy
    finally:
        servers.kill_group(process)


def _await(web: Web) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until and web.process.poll() is None:
        try:
            with urllib.request.urlopen(f"{web.url}/health/ready", timeout=5):
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)
    raise AssertionError(f"the web server did not start: {web.log.read_text()[-3000:]}")
