"""What the running server writes down: ids and routes; nothing that people typed, are called or hold as a secret."""

from __future__ import annotations

import json
import urllib.error
import urllib.parse
import urllib.request

import pytest

from tests.factories import PASSWORD, make_cast
from tests.web import run_production
from tests.world import CANARY, PK, TOKEN, make_world

pytestmark = [pytest.mark.processes, pytest.mark.django_db(transaction=True)]

GUESSED = "guessed-0123456789-0123456789-0123456789"
#: Good and bad links, addresses with people's words in them, forms with addresses of theirs, and what breaks.
READS = (
    f"/client/{TOKEN}/",
    f"/client/{GUESSED}/",
    f"/come-in/{TOKEN}",
    f"/come-in/{GUESSED}",
    f"/account/login/?next=/come-in/{TOKEN}",
    "/account/password/reset/key/1-abcdef-0123456789/",
    f"/works/?q={CANARY}",
    f"/{CANARY}/nowhere/",
    f"/api/v1/works?search={CANARY}",
    f"/static/{CANARY}.css",
    "/health/ready",
)


@pytest.fixture
def lines(process_env, tmp_path):
    """The log lines of a server in production after all of that."""
    world = make_world(make_cast())
    # That a letter cannot be sent is written down too.
    with run_production(process_env, tmp_path, processes=1) as web:
        for path in READS:
            ask(web.url + path)
        for password in ("wrong-" + CANARY, PASSWORD):
            ask(web.url + "/account/login/", login=world.cast.principal.email, password=password)
        ask(web.url + "/account/password/reset/", email=world.cast.principal.email)
        phone = {"Authorization": f"Link {TOKEN}", "Referer": f"{web.url}/client/{TOKEN}/", "Cookie": f"a={CANARY}"}
        ask(web.url + "/api/v1/phone/job/", headers=phone)
        ask(web.url + f"/api/v1/walls/{PK}", headers=phone)
    return world, web.log.read_text().splitlines()


def ask(url: str, headers: dict[str, str] | None = None, **form: str) -> None:
    """Asks as a browser would that got the form's token first."""
    jar = urllib.request.HTTPCookieProcessor()
    opener = urllib.request.build_opener(jar)
    data = None
    try:
        if form:
            page = opener.open(url, timeout=30).read().decode()
            form["csrfmiddlewaretoken"] = page.partition('name="csrfmiddlewaretoken" value="')[2].partition('"')[0]
            data = urllib.parse.urlencode(form).encode()
        opener.open(urllib.request.Request(url, data, headers or {}), timeout=30).read()
    except urllib.error.HTTPError as refused:
        refused.close()


def test_log_lines_are_structured_and_tell_nothing_of_anybody(lines):
    world, written = lines
    ours = [json.loads(line) for line in written if line.startswith("{")]
    requests = [line for line in ours if line["logger"] == "studio.requests"]
    assert len(requests) > len(READS), written
    assert all(line["request_id"] != "-" and line["route"] and line["status"] for line in requests)
    assert {"client/<str:token>/", "come-in/<slug:token>"} <= {line["route"] for line in requests}
    assert {line["status"] for line in requests} >= {200, 404}
    people = (world.cast.principal, world.cast.designer)
    secrets = {TOKEN, GUESSED, CANARY, "example.test", PASSWORD, *(person.name for person in people)}
    text = "\n".join(written).lower()
    assert [secret for secret in secrets if secret.lower() in text] == []
    # Everything that is not ours is the server's own few lines of starting and stopping.
    others = [line for line in written if not line.startswith("{")]
    assert all(line.startswith("[") and "[INFO]" in line for line in others), others
