"""What every page says, read as its reader would: no name of the code, no bare millimetres, no doubled full stop."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest

from studio.models import Artwork, Project, Room, Wall
from studio.models import Client as Customer
from tests.test_every_address import ADDRESSES, Address
from tests.world import make_world

pytestmark = pytest.mark.django_db

#: Names that end in a full stop of their own, as invented clients and rooms do.
ENDS_IN_A_STOP = "Hollis, D. & R."
UNSEEN = re.compile(r"<(script|style|template|textarea)\b.*?</\1>|<!--.*?-->", re.DOTALL)
INLINE = re.compile(r"</?(?:a|abbr|b|em|i|kbd|small|span|strong|time)\b[^>]*>")
TAG = re.compile(r"<[^>]+>")
FAULTS = {
    "a name of the code": re.compile(r"\b[a-z]+(?:_[a-z]+)+\b"),
    "bare millimetres": re.compile(r"\b(?!100 mm)\d+(?:\.\d+)?\s?mm\b"),
    "a doubled full stop": re.compile(r"(?<!\.)\.\.(?!\.)"),
}
#: Shown to programs, or a paper whose sizes are metric by their standard.
EXEMPT = {"api_schema", "metrics"}
#: The rules' own texts quote standards that are metric, and numbers finer than a sixteenth of an inch.
METRIC = {"house_rules", "house_rule"}
READ = [one for one in ADDRESSES if "get" in one.methods and not one.route.startswith("api/")]
PAGES = [one for one in READ if one.name not in EXEMPT]


def words_of(page: str) -> str:
    return " ".join(html.unescape(TAG.sub(" ", INLINE.sub("", UNSEEN.sub(" ", page)))).split())


@pytest.fixture
def world(cast: Any) -> Any:
    """A reader in feet and inches, among names that end in a full stop."""
    made = make_world(cast)
    for model, field in ((Customer, "name"), (Project, "name"), (Room, "name"), (Wall, "name"), (Artwork, "title")):
        model.objects.update(**{field: ENDS_IN_A_STOP})
    return made


def faults_of(answer: Any, address: Address) -> list[str]:
    if answer.streaming:
        list(answer.streaming_content)  # the file is open until it is read to its end
        return []
    if answer.status_code >= 400 or not answer.get("Content-Type", "").startswith("text/html"):
        return []
    text = words_of(answer.content.decode())
    return [
        f"{address.route}: {what}: …{text[max(found.start() - 50, 0) : found.end() + 20]}…"
        for what, pattern in FAULTS.items()
        if what != "bare millimetres" or address.name not in METRIC
        for found in pattern.finditer(text)
    ]


def test_reader_finds_what_it_looks_for() -> None:
    bad = words_of("<p>floor_lamp stored. At 50.8 mm, by <b>Hollis, D. &amp; R.</b>.</p><script>a_b = 1..x()</script>")
    assert {what for what, pattern in FAULTS.items() if pattern.search(bad)} == set(FAULTS)
    assert not any(pattern.search(words_of("<b>Up…</b> 100 mm ruler. <i>1.5 in</i>")) for pattern in FAULTS.values())


def test_no_page_speaks_in_code(world: Any, client_of: Any) -> None:
    client = client_of(world.cast.principal)
    faults = [fault for address in PAGES for fault in faults_of(client.get(address.url()), address)]
    assert not faults, "\n".join(faults)
