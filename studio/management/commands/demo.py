"""Runs everything on one machine with nothing to set up: web, worker and schedule, each its own process."""

from __future__ import annotations

import io
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

HOST = "127.0.0.1"
#: How long a process may take to finish what it is at before it is ended, and after which a wait is told of again [s].
PATIENCE = 20.0


class Stopped(BaseException):
    """Somebody asked the demo to stop: like KeyboardInterrupt, nothing on the way takes it for a fault."""


class Command(BaseCommand):
    help = "Prepares the demo studio, then runs web, worker and schedule until Ctrl-C. PORT chooses the port."
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.PRODUCTION:
            raise CommandError("The demo makes sign-ins that everybody knows: it does not run in production.")
        self._refuse_busy_port()
        for name in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(name, self._stop)
        children: dict[str, subprocess.Popen[bytes]] = {}
        try:
            commands = self._commands()
            self._say("Preparing the database.")
            call_command("migrate", verbosity=0)
            children["web"] = self._start("web", commands.pop("web"))  # it starts while the studio is loaded
            self._say("Loading the demonstration studio; the first time it draws every picture.")
            sign_ins = io.StringIO()
            call_command("seed_demo", stdout=sign_ins)
            children |= {name: self._start(name, command) for name, command in commands.items()}
            self._await_site(children)
            self.stdout.write(f"\nOvermantel is ready: {settings.BASE_URL}/\n\n{sign_ins.getvalue().rstrip()}\n")
            self.stdout.write(f"\nCtrl-C stops it. Letters and logs: {self._logs()}\n")
            self.stdout.flush()
            while True:
                self._refuse_dead(children)
                time.sleep(0.5)
        except Stopped:
            self.stdout.write("\nStopping.")
        finally:
            self._end(children)

    def _say(self, what: str) -> None:
        self.stdout.write(what)
        self.stdout.flush()

    @staticmethod
    def _stop(number: int, frame: object) -> None:
        for name in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(name, signal.SIG_IGN)  # once is enough
        raise Stopped

    @staticmethod
    def _refuse_busy_port() -> None:
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((HOST, settings.PORT))
            except OSError as error:
                raise CommandError(
                    f"Port {settings.PORT} cannot be used ({error.strerror}). "
                    f"Choose another: make demo PORT={settings.PORT + 1}"
                ) from error

    @staticmethod
    def _commands() -> dict[str, list[str]]:
        celery = ["celery", "-A", "studio"]
        return {
            "web": [
                *("gunicorn", "studio.wsgi", "--config", "studio/gunicorn.py"),
                *("--bind", f"{HOST}:{settings.PORT}", "--threads", "4"),
            ],
            "worker": [*celery, "worker", "-Q", ",".join(settings.QUEUES), "-c", "2", "-l", "INFO"],
            "schedule": [*celery, "beat", "-l", "WARNING", "--pidfile="],
        }

    @staticmethod
    def _logs() -> Path:
        folder = settings.VAR_DIR / "log"
        folder.mkdir(parents=True, exist_ok=True)
        return folder

    def _start(self, name: str, command: list[str]) -> subprocess.Popen[bytes]:
        with (self._logs() / f"{name}.log").open("wb") as log:
            return subprocess.Popen(
                [sys.executable, "-m", *command],
                cwd=settings.BASE_DIR,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                env=os.environ | {"DJANGO_SETTINGS_MODULE": "studio.settings", "PYTHONUNBUFFERED": "1"},
                start_new_session=True,  # Ctrl-C comes to us alone, and we end them in order
            )

    def _await_site(self, children: dict[str, subprocess.Popen[bytes]]) -> None:
        """Waits for as long as its processes live, however slow the machine is, and says that it does."""
        says_at = time.monotonic() + PATIENCE
        while True:
            self._refuse_dead(children)
            try:
                with urllib.request.urlopen(f"http://{HOST}:{settings.PORT}/health/ready", timeout=5):
                    return
            except (urllib.error.URLError, OSError):
                time.sleep(0.1)
            if time.monotonic() > says_at:
                self._say(f"The site is still starting; its log is {self._logs() / 'web.log'}")
                says_at += PATIENCE

    def _refuse_dead(self, children: dict[str, subprocess.Popen[bytes]]) -> None:
        for name, child in children.items():
            if child.poll() is not None:
                log = self._logs() / f"{name}.log"
                tail = "\n".join(log.read_text(errors="replace").splitlines()[-15:])
                raise CommandError(f"The {name} process ended with status {child.returncode}; from {log}:\n{tail}")

    @staticmethod
    def _end(children: dict[str, subprocess.Popen[bytes]]) -> None:
        for child in children.values():
            child.terminate()
        until = time.monotonic() + PATIENCE
        for child in children.values():
            try:
                child.wait(timeout=max(0.1, until - time.monotonic()))
            except subprocess.TimeoutExpired:
                child.kill()
                child.wait()
