"""What every test may ask for: real servers, the cast of people, a browser, a worker process.

Servers start when the first test needs them: tests of the engine start nothing. The database is PostgreSQL, from
`DATABASE_URL` or one that the run starts itself; with `TEST_DATABASE=sqlite` it is SQLite. Whatever cannot run is
skipped with its reason and listed by name at the end; with `TEST_STRICT=1` it fails instead.
"""

from __future__ import annotations

import os
import re
import secrets
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as django_settings
from django.core.signals import request_finished, request_started
from django.db import connections
from django.test import Client, override_settings
from hypothesis import HealthCheck
from hypothesis import settings as drawing

from studio import env
from studio.bootstrap import CHROMIUM
from tests import servers
from tests.complete import Complete

ROOT = Path(__file__).resolve().parent.parent
ARTIFACTS = ROOT / "var" / "test-artifacts"
CHROMIUM_APPS = (
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
)
#: Nothing but our own server is reachable, and the browser talks to nobody on its own account.
CHROMIUM_FLAGS = [
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-domain-reliability",
    "--disable-features=MediaRouter,OptimizationHints,Translate,AutofillServerCommunication",
    "--disable-sync",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
    "--no-first-run",
    *(["--no-sandbox"] if servers.ROOT else []),
]


#: What the browser says of requests that the tests let fail.
EXPECTED = (
    "Failed to load resource: the server responded",
    "Failed to load resource: net::ERR_INTERNET_DISCONNECTED",
)


def cannot_run(reason: str) -> None:
    if env.flag("TEST_STRICT", default=False):
        pytest.fail(reason, pytrace=False)
    pytest.skip(reason)


# --- Settings ---------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="session", autouse=True)
def test_settings(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Fast password hashes; files, cache and queue of this run's own."""
    from studio.celery import app

    app.conf.broker_transport_options = {}
    _send_tasks_to("memory://")
    with override_settings(
        PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"],
        MEDIA_ROOT=tmp_path_factory.mktemp("media"),
        CACHES={
            name: {"BACKEND": "django.core.cache.backends.locmem.LocMemCache", "LOCATION": name}
            for name in ("default", "judged")
        },
        DECODE_APART=False,  # a process for each picture costs a tenth of a second
        WHITENOISE_AUTOREFRESH=True,  # static files are found when asked for, not listed anew for every test's client
    ):
        yield


@pytest.fixture(autouse=True)
def fresh_cache(test_settings: None) -> None:
    """Rate limits count in the cache, and the engine's answers are kept: no test inherits another's."""
    from django.core.cache import caches

    for one in caches.all():
        one.clear()
    if engine := sys.modules.get("placements.engine.assess"):
        engine.judged_before.clear()


@pytest.fixture
def bucket(settings: Any) -> Iterator[Any]:
    """An S3-compatible service in this process that keeps all files; nothing lies in a folder. Its two buckets."""
    import boto3
    import easy_thumbnails.storage  # noqa: F401  (keeps the store that it finds when it is first imported)
    from django.core.files.storage import default_storage
    from moto import mock_aws

    from studio import env

    chosen = {"S3_KEY_ID": "someone", "S3_SECRET_KEY": "secret", "FILES_BUCKET": "files", "BACKUP_BUCKET": "backups"}
    with mock_aws(), pytest.MonkeyPatch.context() as patch:
        for name, value in chosen.items():
            patch.setenv(name, value)
        service = boto3.resource("s3", region_name="us-east-1")
        made = {name: service.create_bucket(Bucket=name) for name in ("files", "backups")}
        settings.STORAGES = settings.STORAGES | {
            "default": env.object_store("FILES_BUCKET"),
            "backups": env.object_store("BACKUP_BUCKET"),
        }
        settings.MEDIA_ROOT = f"{os.devnull}/no-folder"
        patch.setattr("easy_thumbnails.storage.thumbnail_default_storage", default_storage)
        yield made


# --- Servers ----------------------------------------------------------------------------------------------------------

_running: dict[str, servers.Server] = {}
#: Under which a process of a parallel run is told the address of the run's one PostgreSQL.
SHARED = "postgresql"


def _server(name: str, start: Callable[[], servers.Server]) -> servers.Server:
    if name not in _running:
        try:
            _running[name] = start()
        except servers.CannotStart as error:
            cannot_run(str(error))
    return _running[name]


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory: pytest.TempPathFactory, pytestconfig: pytest.Config) -> None:
    """Points the default connection at this run's database server, before the test database is made."""
    default = connections.settings["default"]
    if env.text("DATABASE_URL"):
        pass
    elif env.choice("TEST_DATABASE", ("postgresql", "sqlite"), "postgresql") == "sqlite":
        # A file, so that other processes can open it too.
        default["TEST"]["NAME"] = str(tmp_path_factory.mktemp("sqlite") / "test.sqlite3")
    else:
        process = getattr(pytestconfig, "workerinput", {})
        shared = process.get(SHARED)
        os.environ["DATABASE_URL"] = shared or _server("PostgreSQL", servers.start_postgresql).url
        try:
            default.update(env.database("DATABASE_URL", ROOT))
        finally:
            del os.environ["DATABASE_URL"]
        default["TEST"].update(TEMPLATE="overmantel_template", NAME=f"test_{process.get('workerid', 'alone')}")
    if default["ENGINE"].endswith("postgresql"):
        default["ENGINE"] = "tests.postgresql"
    for alias in list(connections):
        connections[alias].close()
        del connections[alias]


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """Before the test database is dropped, waits for sessions that are ending, and ends what is left all the same."""
    yield
    with django_db_blocker.unblock():
        if sessions_left("true"):
            with connections["default"].cursor() as cursor:
                cursor.execute(
                    "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity"
                    " WHERE datname = current_database() AND usename = current_user AND pid <> pg_backend_pid()"
                )


class Answering:
    """How many requests the live server is answering: a page may still ask for pictures when its test is over."""

    def __init__(self) -> None:
        self._count, self._changed = 0, threading.Condition()
        request_started.connect(self._started)
        request_finished.connect(self._finished)

    def wait(self, seconds: float = 15.0) -> None:
        """Until it answers none any more, so that nothing is written after a test."""
        with self._changed:
            self._changed.wait_for(lambda: self._count <= 0, seconds)

    def _started(self, **_: Any) -> None:
        self._count_by(1)

    def _finished(self, **_: Any) -> None:
        self._count_by(-1)

    def _count_by(self, one: int) -> None:
        if threading.current_thread() is not threading.main_thread():  # the tests' own client asks there
            with self._changed:
                self._count += one
                self._changed.notify_all()


@pytest.fixture(scope="session")
def answering() -> Answering:
    return Answering()


@pytest.fixture(scope="session")
def live_server(django_db_setup: None, answering: Answering, live_server: Any) -> Any:
    """Stops before the database goes: a page may still be asking when its test is over."""
    return live_server


@pytest.fixture(scope="session")
def redis_url() -> str:
    """A real Redis or Valkey: REDIS_URL, or one that the run starts itself."""
    return env.redis_url("REDIS_URL", "") or _server("Redis", servers.start_redis).url


@pytest.fixture
def process_env(transactional_db: None, redis_url: str, tmp_path: Path, request: Any) -> Iterator[dict[str, str]]:
    """The environment of a process that works on the test database, this run's Redis and the test's own files.

    The test must end its processes: a session of theirs that is left fails it.
    """
    chosen = connections["default"].settings_dict
    if connections["default"].vendor == "postgresql":
        authority = f"{chosen['USER']}:{chosen['PASSWORD']}@" if chosen["PASSWORD"] else f"{chosen['USER']}@"
        url = f"postgresql://{authority}/{chosen['NAME']}?host={chosen['HOST']}&port={chosen['PORT'] or 5432}"
    else:
        url = f"sqlite:///{chosen['NAME']}"
    name = f"{os.getpid()} {request.node.name}"[:63]
    yield os.environ | {
        "DATABASE_URL": url,
        "PGAPPNAME": name,
        "REDIS_URL": redis_url,
        "VAR_DIR": str(tmp_path),
        "MEDIA_ROOT": str(django_settings.MEDIA_ROOT),
        "PYTHONPATH": str(ROOT),
        "LOG_LEVEL": "INFO",
    }
    if left := sessions_left("application_name = %s", name):
        pytest.fail(f"processes of this test are still on the database: {left}", pytrace=False)


def sessions_left(which: str, *values: str) -> list[tuple[Any, ...]]:
    """Other sessions on the test database, once those that are ending have had a moment to end."""
    if connections["default"].vendor != "postgresql":
        return []
    connections["default"].close()  # a test that restarts the server ended this session too
    until = time.monotonic() + 10
    while True:
        with connections["default"].cursor() as cursor:
            cursor.execute(
                "SELECT application_name, state, backend_start, left(query, 80) FROM pg_stat_activity"
                f" WHERE datname = current_database() AND pid <> pg_backend_pid() AND {which}",
                values,
            )
            left = cursor.fetchall()
        if not left or time.monotonic() > until:
            return left
        time.sleep(0.1)


@pytest.fixture
def worker(process_env: dict[str, str], redis_url: str, tmp_path: Path) -> Iterator[subprocess.Popen[bytes]]:
    """A real Celery worker on every queue; this process sends its tasks to it."""
    _send_tasks_to(redis_url)
    started = start_worker(process_env, tmp_path / "worker.log")
    yield started
    stop_process(started)
    _send_tasks_to("memory://")


def _send_tasks_to(broker_url: str) -> None:
    from studio.celery import app

    app.conf.broker_url = app.conf.broker_write_url = app.conf.broker_read_url = broker_url
    app._after_fork()  # drops the pools of connections to the broker before


def start_worker(environment: dict[str, str], log: Path, *options: str) -> subprocess.Popen[bytes]:
    """Starts a worker and waits until it takes tasks."""
    queues = ",".join(django_settings.QUEUES)
    command = [
        sys.executable,
        "-m",
        "celery",
        "-A",
        "studio",
        "worker",
        "-Q",
        queues,
        "-c",
        "2",
        "-l",
        "INFO",
        *options,
    ]
    with log.open("ab") as out:
        process = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=out, stderr=out, start_new_session=True)
    until = time.monotonic() + 60
    while b" ready." not in log.read_bytes():
        if process.poll() is not None or time.monotonic() > until:
            servers.kill_group(process)
            pytest.fail(f"the worker did not start: {log.read_text()[-2000:]}", pytrace=False)
        time.sleep(0.1)
    return process


def stop_process(process: subprocess.Popen[bytes]) -> None:
    """Asks a process to end, and ends it and its children if it does not in time."""
    process.terminate()
    try:
        process.wait(timeout=30)
    except subprocess.TimeoutExpired:
        servers.kill_group(process)


# --- People -----------------------------------------------------------------------------------------------------------


@pytest.fixture
def cast(db: None) -> Any:
    """One person of each role, and somebody of another studio: see `tests.factories.Cast`."""
    from tests.factories import make_cast

    return make_cast()


@pytest.fixture
def client_of() -> Callable[[Any], Client]:
    """A test client signed in as the person given, or nobody's for None."""

    from tests.sessions import sign_in

    def signed_in(user: Any) -> Client:
        client = Client()
        if user is not None:
            sign_in(client, user)
        return client

    return signed_in


# --- Browser ----------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """The system's own Chromium, driven by Playwright."""
    path = next(filter(None, map(shutil.which, CHROMIUM)), None) or next(
        (app for app in CHROMIUM_APPS if Path(app).exists()), None
    )
    if path is None:
        cannot_run("no Chromium on PATH (Debian: apt-get install chromium)")
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=15_000)
    # Playwright keeps an event loop in this thread, which Django would take for an asynchronous caller.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=CHROMIUM_FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture
def browser_faults() -> list[str]:
    """What the browser complained of: script errors, policy violations. A test that provokes some clears the list."""
    return []


@pytest.fixture
def new_page(
    browser: Any, live_server: Any, answering: Answering, browser_faults: list[str], request: Any
) -> Iterator[Callable[..., Any]]:
    """Opens a page of its own context on the live server, signed in as `user`; options go to the context.

    A failed test leaves a picture in var/test-artifacts; with `TEST_TRACE=1` a trace as well, which costs every test a
    quarter more.
    """
    from tests.sessions import sign_in

    contexts: list[Any] = []
    traced = env.flag("TEST_TRACE", default=False)

    def note(message: Any) -> None:
        # A refused request, or one without a signal, is the page's business to show, not a fault.
        if message.type == "error" and not message.text.startswith(EXPECTED):
            browser_faults.append(message.text)

    def open_page(user: Any = None, **options: Any) -> Any:
        context = browser.new_context(base_url=live_server.url, **options)
        context.set_default_timeout(15_000)
        if traced:
            context.tracing.start(screenshots=True, snapshots=True)
        contexts.append(context)
        if user is not None:
            client = Client()
            sign_in(client, user)
            name = django_settings.SESSION_COOKIE_NAME
            context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": live_server.url}])
        page = context.new_page()
        page.on("console", note)
        page.on("pageerror", lambda error: browser_faults.append(str(error)))
        return page

    yield open_page
    failed = getattr(request.node, "failed", False)
    for index, context in enumerate(contexts):
        stem = ARTIFACTS / f"{re.sub(r'[^A-Za-z0-9]+', '-', request.node.nodeid).strip('-')[-120:]}-{index}"
        if failed:
            ARTIFACTS.mkdir(parents=True, exist_ok=True)
            for number, page in enumerate(context.pages):
                page.screenshot(path=f"{stem}-{number}.png")
            if traced:
                context.tracing.stop(path=f"{stem}.zip")
        context.close()
    answering.wait()
    if not failed and browser_faults:
        pytest.fail("the browser complained: " + "; ".join(browser_faults), pytrace=False)


@pytest.fixture
def page(new_page: Callable[..., Any]) -> Any:
    """One page, nobody signed in."""
    return new_page()


# --- The run ----------------------------------------------------------------------------------------------------------


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--hunt", action="store_true", help="only what draws its cases, on a new seed, which is printed")


@pytest.hookimpl(tryfirst=True)  # before the seed is read
def pytest_configure(config: pytest.Config) -> None:
    """What draws its cases draws the same each time; on a hunt, others, from a seed that can be given again."""
    hunt = config.getoption("hunt")
    # How long a case takes says how loaded the machine is, not whether the code is right.
    slow = [HealthCheck.too_slow]
    drawing.register_profile(
        "overmantel", derandomize=not hunt, database=None, print_blob=True, deadline=None, suppress_health_check=slow
    )
    drawing.load_profile("overmantel")
    if hunt and config.option.hypothesis_seed is None:
        config.option.hypothesis_seed = str(secrets.randbelow(2**32))
    config.pluginmanager.register(Complete(), "complete")


def pytest_report_header(config: pytest.Config) -> str | None:
    return hunted(config)


def hunted(config: pytest.Config) -> str | None:
    """How to run the same hunt again."""
    if not config.getoption("hunt"):
        return None
    return f"the same again: make test ARGS='--hunt --hypothesis-seed={config.option.hypothesis_seed}'"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Iterator[Any]:
    report = yield
    if report.failed:
        item.failed = True  # type: ignore[attr-defined]
    return report


@pytest.hookimpl(optionalhook=True)
def pytest_configure_node(node: Any) -> None:
    """Starts one PostgreSQL for all processes of a parallel run, where each would start its own."""
    if env.text("DATABASE_URL") or env.choice("TEST_DATABASE", ("postgresql", "sqlite"), "postgresql") == "sqlite":
        return
    try:
        if "PostgreSQL" not in _running:
            _running["PostgreSQL"] = servers.start_postgresql()
    except servers.CannotStart:
        return  # each process tries for itself, and says why its tests cannot run
    node.workerinput[SHARED] = _running["PostgreSQL"].url


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Browsers and servers first: one process drives those, which often wait, while another reckons."""
    if config.getoption("hunt"):
        config.hook.pytest_deselected(items=[item for item in items if not item.get_closest_marker("hypothesis")])
        items[:] = [item for item in items if item.get_closest_marker("hypothesis")]
    items.sort(key=lambda item: not (item.get_closest_marker("processes") or item.get_closest_marker("browser")))


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Names what ran on which servers, and everything that could not run, with the reason."""
    if again := hunted(terminalreporter.config):
        terminalreporter.write_line(again)
    if _running:
        terminalreporter.write_line("on " + ", ".join(server.version for server in _running.values()))
    skipped = terminalreporter.stats.get("skipped", [])
    if skipped:
        terminalreporter.section("could not run")
        for report in skipped:
            reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
            terminalreporter.write_line(f"{report.nodeid}: {reason.removeprefix('Skipped: ')}")


def pytest_unconfigure() -> None:
    for server in _running.values():
        server.stop()
    _running.clear()
