"""Metrics that alerts are made of: each name in a rule or on the dashboard is one that the site answers."""

from __future__ import annotations

import json
import re
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
import yaml
from django.urls import reverse
from django.utils import timezone
from prometheus_client.parser import text_string_to_metric_families

from placements.models import Notice
from reports.models import Report
from reports.services.jobs import job_issue
from studio import running
from studio.models import TaskRecord, WorkerSeen
from tests.reports.signing import signed_house
from tests.reports.test_phone_api import APIClient, action

pytestmark = pytest.mark.django_db
FOLDER = Path(__file__).resolve().parent.parent / "studio" / "monitoring"
TOKEN = "scraper-token-of-this-test-run"


@pytest.fixture
def scraped(client, settings):
    """Asks for the metrics: {name: {label values: value}}."""
    settings.METRICS_TOKEN = TOKEN

    def ask():
        text = client.get(reverse("metrics"), headers={"Authorization": f"Bearer {TOKEN}"}).content.decode()
        found: dict[str, dict[tuple[str, ...], float]] = {}
        for family in text_string_to_metric_families(text):
            for sample in family.samples:
                found.setdefault(sample.name, {})[tuple(sample.labels.values())] = sample.value
        return found

    return ask


def test_every_rule_and_panel_asks_for_what_there_is(scraped, client):
    client.get(reverse("account_login"))
    rules = yaml.safe_load((FOLDER / "alerts.yml").read_text())["groups"][0]["rules"]
    board = json.loads((FOLDER / "dashboard.json").read_text())
    asked = [rule["expr"] for rule in rules] + [panel["targets"][0]["expr"] for panel in board["panels"]]
    names = {name for expression in asked for name in re.findall(r"\b(?:overmantel|django)_\w+", expression)}
    known = set(scraped()) | {"overmantel_phone_actions_refused_total"}  # with a label, it is there once it happened
    assert len(names) > 10
    assert names <= known
    assert all(rule["annotations"]["summary"] for rule in rules)


def test_work_letters_and_workers(cast, scraped):
    ago = timezone.now() - timedelta(seconds=90)
    revision = signed_house(cast, pictures=False).revision
    one = {"revision": revision, "requested_by": cast.designer}
    Report.objects.create(**one, fingerprint="a" * 64, asked_at=ago)
    Report.objects.create(**one, fingerprint="b" * 64, state="rendering", asked_at=ago)
    Report.objects.create(**one, fingerprint="c" * 64, state="failed", finished_at=ago)
    Report.objects.create(**one, fingerprint="d" * 64, state="failed", finished_at=ago - timedelta(days=2))
    Notice.objects.create(studio=cast.studio, user=cast.designer, text="Waits")
    WorkerSeen.objects.create(name="one", seen_at=timezone.now())
    WorkerSeen.objects.create(name="two", seen_at=timezone.now() - timedelta(minutes=5))
    found = scraped()
    assert {state: found["overmantel_work_rows"]["report", state] for state in ("queued", "running", "failed")} == {
        "queued": 1, "running": 1, "failed": 1,
    }  # fmt: skip
    assert found["overmantel_work_oldest_seconds"]["report", "queued"] == pytest.approx(90, abs=30)
    assert found["overmantel_letters_waiting"][()] == 1
    assert found["overmantel_workers_alive"][()] == 1


def test_metrics_take_as_many_queries_however_much_there_is(cast, scraped, django_assert_max_num_queries):
    scraped()
    with django_assert_max_num_queries(12):
        scraped()


def test_refused_sign_ins_and_phones_are_counted(cast, client, scraped):
    before = scraped()["overmantel_sign_ins_refused_total"][()]
    client.post(reverse("account_login"), {"login": cast.designer.email, "password": "not it"})
    house = signed_house(cast, pictures=False)
    link = job_issue(by=cast.coordinator, revision=house.revision, hanger_name="H. Ladder")
    phone = APIClient(headers={"Authorization": f"Link {link.token}"})
    assert phone.post("/api/v1/phone/actions/", action(house, sequence=3), format="json").status_code == 409
    found = scraped()
    assert found["overmantel_sign_ins_refused_total"][()] == before + 1
    assert found["overmantel_phone_actions_refused_total"]["wrong-state",] >= 1


def test_a_task_is_noted_with_what_it_did(scraped):
    task = SimpleNamespace(name="studio.tasks.links_clear", request=SimpleNamespace(request_id="abc"))
    for state, answer in (("SUCCESS", "3 keys"), ("FAILURE", KeyError("secret"))):
        running.begin("1", task)
        assert running.request_id.get() == "abc"
        running.end("1", task, retval=answer, state=state)
    noted = TaskRecord.objects.get()
    assert (noted.runs, noted.failures, noted.note) == (2, 1, "KeyError")
    assert noted.succeeded_at < noted.failed_at
    found = scraped()
    assert found["overmantel_task_runs_total"][task.name,] == 2
    assert found["overmantel_task_last_success_timestamp_seconds"][task.name,] == noted.succeeded_at.timestamp()
    assert found["overmantel_task_last_success_timestamp_seconds"]["studio.tasks.backup",] == 0  # it never ran
