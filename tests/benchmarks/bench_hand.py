"""What a designer has under the hand: lists, a wall's page and its answers, against a page of the same framework that
shows nothing.

Each is asked for in turn with the empty page, in processor time of this one process, so that what else the machine does
slows both alike; the median of the rounds counts, and its spread stands beside it.
"""

from __future__ import annotations

import itertools
import statistics
import time
from collections.abc import Callable, Iterator
from functools import partial

from django.contrib.auth.decorators import login_required
from django.core.cache import caches
from django.core.management import call_command
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.test import Client
from django.test.utils import override_settings
from django.urls import path, reverse

from studio import urls
from tests.benchmarks import Row
from tests.benchmarks.bench_pages import database, server

ROUNDS = 15
INCH = 25.4
LIST, RULES = "the list of projects", "the house rules"
#: What these pages may weigh at most, as sent and not packed [bytes].
LIGHT = {LIST: 60_000, RULES: 90_000}


@login_required
def empty(request: HttpRequest) -> HttpResponse:
    return render(request, "base.html")


urlpatterns = [*urls.urlpatterns, path("empty/", empty)]


def rows(*, smoke: bool) -> Iterator[Row]:
    with server() as url, override_settings(ROOT_URLCONF=__name__):
        database(url, "hand")
        call_command("migrate", verbosity=0)
        for what, ask, bar in (*asked(), *lists(2 if smoke else 10, 6 if smoke else 60)):
            answer, bare = alternating(ask, 2 if smoke else ROUNDS)
            ratios = [one / other for one, other in zip(answer, bare, strict=True)]
            low, middle, high = statistics.quantiles(ratios, n=4)
            figure = f"{statistics.median(answer) * 1e3:.0f} ms, an empty page {statistics.median(bare) * 1e3:.0f} ms"
            yield Row(f"{what} ({low:.1f} to {high:.1f})", figure, middle, bar, at_least=False)
            if what.strip() in LIGHT:
                size = len(ask().content)
                yield Row(
                    "  its weight against what it may be", f"{size / 1e3:.0f} kB", size / LIGHT[what], 1, at_least=False
                )


def asked() -> Iterator[tuple[str, Callable[[], object], float]]:
    """What is asked for, by name, and how many empty pages' time it may take."""
    from tests.factories import make_cast

    cast = make_cast()
    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(cast.designer)
    few, many = hung(cast, 4), hung(cast, 20)
    for count, (address, *_), first in ((4, few, 3.4), (20, many, 7.5)):
        page = partial(client.get, address("wall"))
        yield f"a wall's page, {count} pieces", anew(page), first
        yield "  the same again, unchanged", page, 2.1
    address, works, space = many
    places = itertools.count(900, 7)

    def drag() -> object:
        held = {"artwork": works[3].pk, "left_mm": next(places), "bottom_mm": 1200}
        return client.post(address("wall_try"), held, headers={"HX-Request": "true"})

    yield "the answer to a drag, 20 pieces, each to a new place", drag, 2.1
    compared = partial(client.get, address("wall_compare"), {"work": works[-1].pk, "space": space})
    yield "two ways compared, 20 pieces", anew(compared), 12.5
    yield "  the same again, unchanged", compared, 6.5
    yield "ranked works for a space", anew(partial(client.get, address("wall_works"), {"space": space})), 8.0


def lists(projects: int, walls: int) -> Iterator[tuple[str, Callable[[], object], float]]:
    """The pages of many projects, and of many walls."""
    from tests.factories import (
        ItemFactory,
        PlacementFactory,
        ProjectFactory,
        RevisionFactory,
        RoomFactory,
        WallFactory,
        make_cast,
    )

    cast = make_cast()
    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(cast.designer)
    for number in range(projects):
        project = ProjectFactory(client__studio=cast.studio, name=f"House {number}")
        room, revision = RoomFactory(project=project), RevisionFactory(plan__project=project)
        for _ in range(walls):
            wall = WallFactory(room=room)
            ItemFactory(wall=wall)
            PlacementFactory(revision=revision, wall=wall)
    yield LIST, partial(client.get, reverse("projects")), 4.2
    yield RULES, partial(client.get, reverse("house_rules")), 4.2
    page = partial(client.get, reverse("project", args=[project.pk]))
    yield f"a project of {walls} walls", anew(page), 5.0
    yield "  the same again, unchanged", page, 5.0


def anew(ask: Callable[[], object]) -> Callable[[], object]:
    """Asked for as if for the first time: nothing is known of what the engine or a drawing said before."""
    from placements.contexts.drawn import large_drawing, small_drawing
    from placements.engine.assess import judged_before

    def forgetting() -> object:
        for known in (
            caches["judged"].clear,
            judged_before.clear,
            large_drawing.cache_clear,
            small_drawing.cache_clear,
        ):
            known()
        return ask()

    return forgetting


def hung(cast, count: int):
    """Addresses of a wall with so many pieces, some of them where rules are broken, the client's works, and a space."""
    from placements.engine.results import PlainWords
    from placements.pieces import Piece
    from placements.selectors.walls import assess
    from placements.services import moves, plans
    from placements.services.walls import Edit
    from tests.factories import ArtworkFactory, ProjectFactory, WallFactory
    from tests.placements.hands import in_hand

    project = ProjectFactory(client__studio=cast.studio)
    wall = WallFactory(room__project=project, length_mm=400 * INCH, height_mm=110 * INCH)
    works = [
        ArtworkFactory(client=project.client, width_mm=(14 + i % 5 * 3) * INCH, height_mm=(12 + i % 4 * 3) * INCH)
        for i in range(120)
    ]
    revision = plans.revision_open(by=cast.designer, project=project)
    pieces = [
        Piece(work, (20 + i % 10 * 34) * INCH, (30 + i // 10 * 30 + i % 3 * 2) * INCH, i + 1)
        for i, work in enumerate(works[:count])
    ]
    moves.arrangement_replace(edit=Edit(cast.designer), hand=in_hand(revision, wall), pieces=pieces)
    _, found = assess(in_hand(revision, wall), PlainWords())
    return lambda name: reverse(name, args=[project.pk, wall.pk]), works, found.spaces[0].id


def alternating(ask: Callable[[], object], rounds: int) -> tuple[list[float], list[float]]:
    """Processor time [s] of so many answers, and of as many empty pages asked for in between."""
    from tests.factories import make_cast

    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(make_cast().designer)
    found: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds + 1):
        for times, one in zip(found, (ask, lambda: client.get("/empty/")), strict=True):
            started = time.process_time()
            one()
            times.append(time.process_time() - started)
    return found[0][1:], found[1][1:]  # the first fill caches
