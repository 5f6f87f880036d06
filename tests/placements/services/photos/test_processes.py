"""Photographs with real workers and a real broker: whatever dies, each is measured, and stored once."""

from __future__ import annotations

import os
import signal
import time

import numpy as np
import pytest

from placements.models import Photo, RunState
from placements.services.photos.measuring import PHOTOGRAPHS
from tests.conftest import _send_tasks_to, start_worker, stop_process
from tests.placements.services.photos import walls

pytestmark = [pytest.mark.processes, pytest.mark.django_db(transaction=True)]

PATIENCE_S = 240


@pytest.fixture
def workers(process_env, redis_url, tmp_path):
    """Starts workers, and ends whatever of them is left."""
    _send_tasks_to(redis_url)
    started = []

    def start():
        started.append(start_worker(process_env, tmp_path / f"worker-{len(started)}.log"))
        return started[-1]

    yield start
    for worker in started:
        if worker.poll() is None:
            stop_process(worker)
    _send_tasks_to("memory://")


def until(fact, *, sweep=True):
    """Wait for a fact, sweeping as the scheduler does."""
    ending, swept = time.monotonic() + PATIENCE_S, 0.0
    while not fact():
        if time.monotonic() > ending:
            pytest.fail(f"after {PATIENCE_S} s: {sorted(Photo.objects.values_list('state', 'attempts', 'error'))}")
        if sweep and time.monotonic() - swept > 2:
            PHOTOGRAPHS.sweep()
            swept = time.monotonic()
        time.sleep(0.02)


def test_worker_killed_while_measuring_is_replaced_and_the_photograph_measured_once(cast, workers):
    site = walls.make_measuring(cast)
    worker = workers()
    photo = site.add(walls.snapshot().jpeg, ruler_mm=100.0)
    until(lambda: Photo.objects.filter(state=RunState.RUNNING).exists(), sweep=False)
    os.killpg(worker.pid, signal.SIGKILL)  # the worker and its children, with no time for anything
    worker.wait()
    photo.refresh_from_db()
    assert (photo.state, photo.attempts) == (RunState.RUNNING, 1), "it was not being measured when the worker died"
    assert not photo.marks.exists()
    assert PHOTOGRAPHS.claim() is None, "its lease still runs"

    workers()
    workers()
    until(lambda: Photo.objects.filter(state=RunState.READY).exists())
    PHOTOGRAPHS.sweep()
    time.sleep(1)  # a message too many would be worked on now
    photo.refresh_from_db()
    assert (photo.attempts, photo.lease_owner, photo.error) == (2, "", "")
    middles = [tuple(np.mean(mark.corners_px, axis=0).round(1)) for mark in photo.marks.all()]
    assert len(middles) == len(set(middles)) >= 3
    assert {mark.artwork for mark in photo.marks.exclude(artwork=None)} == set(site.works)
