"""The house rules page: every number with its source, changed ones marked, effects seen before storing."""

from __future__ import annotations

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import escape

from placements.contexts.rules import doc_parts, rule_groups
from placements.engine.rulebook import Rulebook, catalogue
from placements.models import HouseRule
from studio.units import Units
from tests.factories import (
    INCH,
)

pytestmark = pytest.mark.django_db

PAGE = "house_rules"


#: Every number at once, as for paper.
WHOLE = {"whole": "1"}


def data(reason="Our ceilings are low.", **boxes):
    """What the form sends: each box by its name, with underscores for its dots, and what it said before."""
    was = {"clearance.high": "10″", "clearance.low": "6″", "two-thirds.low": "60%"}
    given = {"clearance.high": '9"'} if not boxes.keys() & {"high", "low", "share"} else {}
    names = {"high": "clearance.high", "low": "clearance.low", "share": "two-thirds.low"}
    given |= {names[name]: text for name, text in boxes.items() if name in names}
    more = {name: text for name, text in boxes.items() if name not in names}
    return {"reason": reason} | more | given | {f"was:{name}": was[name] for name in given}


def test_every_limit_stands_with_its_source(cast, client_of):
    page = client_of(cast.principal).get(reverse(PAGE), WHOLE).content.decode()
    for entry in catalogue():
        assert f'id="{entry.id}"' in page
        for limit in entry.limits:
            assert f'id="{entry.id}.{limit.name}"' in page
    assert "2010 ADA Standards 307.2" in page


def test_a_list_of_rules_is_light_and_each_rules_numbers_come_when_it_is_seen(cast, client_of, hung):
    client, project = client_of(cast.principal), hung.revision.plan.project
    HouseRule.objects.create(studio=cast.studio, project=project, rule="spacing", limit="low", value=3 * INCH)
    page = client.get(reverse(PAGE), {"project": project.pk}).content.decode()
    assert len(page) < 90_000
    asked = re.findall(r'hx-get="(/house-rules/[^"]+)"', page)
    assert len(asked) == len(catalogue())
    whole = client.get(reverse(PAGE), {"project": project.pk} | WHOLE).content.decode()
    for address in asked:
        assert client.get(address).content.decode().strip() in whole
    assert 'value="3″"' in client.get(reverse("house_rule", args=["spacing"]), {"project": project.pk}).content.decode()
    assert client.get(reverse("house_rule", args=["nonsense"])).status_code == 404
    assert client_of(cast.stranger).get(asked[0]).status_code == 404


def test_rules_stand_in_their_groups(cast, client_of):
    groups = rule_groups({}, {}, Units())
    assert [rule.id for group in groups for rule in group.rules if group.title == "Care of the piece"] == [
        "light", "heat", "moisture",
    ]  # fmt: skip
    assert sorted(rule.id for group in groups for rule in group.rules) == sorted(entry.id for entry in catalogue())


def test_numbers_are_drawn(cast, client_of):
    page = client_of(cast.principal).get(reverse(PAGE), WHOLE).content.decode()
    assert page.count('class="elevation figure"') == len(catalogue())
    assert page.count('class="elevation curve"') == sum(
        1 for entry in catalogue() if entry.weight and any(limit.name == "reach" for limit in entry.limits)
    )
    assert page.count('class="ruler"') >= 40


def test_picture_follows_the_number(cast, client_of):
    HouseRule.objects.create(studio=cast.studio, rule="eye-line", limit="high", value=70 * INCH)
    page = client_of(cast.principal).get(reverse(PAGE), WHOLE).content.decode()
    box = re.search(r'class="guide eye-line"[^>]* data-mm="0 1524 [\d.]+ ([\d.]+)"', page)
    assert float(box.group(1)) == pytest.approx(10 * INCH)


def test_only_a_principal_gets_boxes_to_type_in(cast, client_of):
    page = client_of(cast.designer).get(reverse(PAGE)).content.decode()
    assert "See what changes" not in page
    assert client_of(cast.designer).post(reverse("house_rule_save"), data()).status_code == 403
    assert not HouseRule.objects.exists()


def test_effect_is_seen_before_anything_is_stored(cast, client_of, hung):
    hung.bottom_mm = (34 + 9.5) * INCH
    hung.save()
    text = client_of(cast.principal).post(reverse("house_rule_try"), data()).content.decode()
    assert "Quay house" in text
    assert "<strong>9″</strong>" in text
    assert not HouseRule.objects.exists()


def test_stored_number_is_marked_with_who_and_why(cast, client_of):
    client = client_of(cast.principal)
    answer = client.post(reverse("house_rule_save"), data())
    assert answer.url.endswith("#clearance")
    row = HouseRule.objects.get()
    assert row.value == pytest.approx(9 * INCH)
    page = client.get(reverse(PAGE), WHOLE).content.decode()
    assert "Our ceilings are low." in page
    assert str(cast.principal) in page
    client.post(reverse("house_rule_reset"), {"field": "clearance.high"})
    assert not HouseRule.objects.exists()


def test_several_numbers_are_stored_together(cast, client_of):
    client_of(cast.principal).post(reverse("house_rule_save"), data(high='9"', low="4", share="65%"))
    found = {(row.rule, row.limit): row.value for row in HouseRule.objects.all()}
    assert found == {
        ("clearance", "high"): pytest.approx(9 * INCH),
        ("clearance", "low"): pytest.approx(4 * INCH),
        ("two-thirds", "low"): pytest.approx(0.65),
    }


@pytest.mark.parametrize(("text", "value"), [("65%", 0.65), ("65", 0.65), ("0.65", 0.65), ("65,5 %", 0.655)])
def test_shares_are_read_in_per_cent_or_as_parts(cast, client_of, text, value):
    client_of(cast.principal).post(reverse("house_rule_save"), data(share=text))
    assert HouseRule.objects.get().value == pytest.approx(value)


def test_a_box_that_was_not_typed_over_changes_nothing(cast, client_of):
    """Another principal's change of the same evening stays: only what differs from what the page showed is stored."""
    HouseRule.objects.create(studio=cast.studio, rule="clearance", limit="low", value=5 * INCH)
    client_of(cast.principal).post(reverse("house_rule_save"), data(high='9"', low="6″"))
    assert HouseRule.objects.get(limit="low").value == pytest.approx(5 * INCH)
    assert HouseRule.objects.get(limit="high").value == pytest.approx(9 * INCH)


def test_project_has_its_own_numbers(cast, client_of, hung):
    project = hung.revision.plan.project
    client_of(cast.principal).post(reverse("house_rule_save"), data(project=project.pk))
    assert HouseRule.objects.get().project == project
    assert Rulebook({"clearance": {"high": HouseRule.objects.get().value}}).limits("clearance").high == 9 * INCH


def test_project_says_which_numbers_are_its_studios(cast, client_of, hung):
    HouseRule.objects.create(studio=cast.studio, rule="clearance", limit="low", value=5 * INCH)
    given = {"project": hung.revision.plan.project.pk} | WHOLE
    assert client_of(cast.designer).get(reverse(PAGE), given).content.decode().count("the studio's own number") == 1
    assert "the studio's own number" not in client_of(cast.designer).get(reverse(PAGE), WHOLE).content.decode()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"high": "wide"}, "wide"),
        ({"high": '90"'}, "7′ 6″ lies outside 0″ to 3′ 0″"),
        ({"high": '2"'}, "smallest gap above the furniture 6″ is above greatest gap above the furniture 2″"),
        ({"share": "13%"}, "13% lies outside 20% to 100%"),
    ],
)
def test_unsound_numbers_are_refused_with_the_reason(cast, client_of, hung, changes, words):
    answer = client_of(cast.principal).post(reverse("house_rule_try"), data(**changes))
    assert answer.status_code == 422
    assert words in answer.content.decode()
    answer = client_of(cast.principal).post(reverse("house_rule_save"), data(low="5″", **changes))
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Nothing was saved" in page
    assert f'value="{escape(next(iter(changes.values())))}"' in page  # what was typed stays in its box
    assert 'value="5″"' in page
    assert not HouseRule.objects.exists()


def test_picture_follows_what_is_typed(cast, client_of):
    client = client_of(cast.designer)
    text = client.post(reverse("house_rule_picture"), {"picture": "clearance"} | data(high='14"')).content.decode()
    assert f'data-mm="{8 * INCH:g} {40 * INCH:g} {132 * INCH:g} {8 * INCH:g}"' in text
    text = client.post(reverse("house_rule_picture"), {"picture": "clearance"} | data(high="high")).content.decode()
    assert 'class="fault"' in text
    assert "<svg" in text
    assert not HouseRule.objects.exists()


def test_without_script_the_page_shows_the_effect(cast, client_of, hung):
    hung.bottom_mm = (34 + 9.5) * INCH
    hung.save()
    page = client_of(cast.principal).post(reverse("house_rule_try"), data()).content.decode()
    assert "<h1>House rules" in page
    assert "Quay house" in page
    assert 'value="9&quot;"' in page


@pytest.mark.parametrize("field", ["nonsense.high", "clearance.nonsense", "hang-data.weight"])
def test_unknown_numbers_are_missing(cast, client_of, field):
    given = {field: "1", f"was:{field}": "2"}
    assert client_of(cast.principal).post(reverse("house_rule_save"), given).status_code == 404
    assert client_of(cast.principal).post(reverse("house_rule_reset"), {"field": field}).status_code == 404


def test_page_asks_as_often_with_many_numbers_as_with_few(cast, client_of):
    client = client_of(cast.principal)
    with CaptureQueriesContext(connection) as few:
        client.get(reverse(PAGE), WHOLE)
    for entry in catalogue():
        for limit in entry.limits:
            HouseRule.objects.create(studio=cast.studio, rule=entry.id, limit=limit.name, value=limit.default)
    with CaptureQueriesContext(connection) as many:
        client.get(reverse(PAGE), WHOLE)
    assert len(many) == len(few)


def test_strangers_and_nobody(cast, client_of, hung):
    project = hung.revision.plan.project
    assert client_of(None).get(reverse(PAGE)).status_code == 302
    assert client_of(cast.stranger).get(reverse(PAGE), {"project": project.pk}).status_code == 404
    assert client_of(cast.stranger).post(reverse("house_rule_save"), data(project=project.pk)).status_code == 404


@pytest.mark.parametrize(
    ("style", "good"),
    [
        pytest.param("ft_in", "4′ 8″ over a sofa of 7′ 0″; 30 × 40″, 26 lb", id="feet and inches"),
        pytest.param("cm", "142.2 cm over a sofa of 213.4 cm; 76.2 × 101.6 cm, 12 kg", id="centimetres"),
    ],
)
def test_a_rules_own_words_are_in_the_readers_units_and_its_source_as_published(style, good):
    doc = "Wide enough. Source: 307.2: 4 in. Good: 56 in over a sofa of 84 in; 30 x 40 in, 12 kg. Bad: none."
    said = doc_parts(doc, Units(style))
    assert (said["good"], said["source"]) == (f"{good}.", "307.2: 4 in.")
