"""A studio's prices and what plans are estimated to cost: stored once, frozen, shown, answered, fetched."""

from __future__ import annotations

import csv
import io
import json
from decimal import Decimal

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from placements.estimating.lines import Framed, Purchase
from placements.estimating.prices import RATES, Prices
from placements.models import Estimate, Notice, PriceList
from placements.selectors.estimates import estimate_shown, pieces_of, prices_of
from placements.services import money
from placements.services.client_links import client_link_create
from studio.errors import Conflict, Invalid, NotAllowed, WrongState
from tests.factories import PlacementFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def made(cast, hung):
    """An estimate of one painting over a sofa, framed anew, with a vase."""
    return money.estimate_make(
        by=cast.designer,
        revision=hung.revision,
        framed={hung.artwork_id: Framed("Plain moulding", mat=False, glazing=False)},
        purchases=[Purchase("A vase", Decimal("120"))],
        note="As we said.",
    )


@pytest.fixture
def link(cast, hung):
    project, rooms = hung.revision.plan.project, [hung.wall.room]
    return client_link_create(by=cast.designer, project=project, rooms=rooms, label="Ada", days=30)


def prices(**rates: str) -> Prices:
    return Prices("EUR", rates={name: Decimal(rate) for name, rate in rates.items()})


def form_of(now: Prices, version: int, **changed: str) -> dict[str, str]:
    told = {one.id: str(now.rate(one.id)) for one in RATES}
    mouldings = "\n".join(f"{name} = {rate}" for name, rate in now.mouldings.items())
    return {
        **told,
        "currency": now.currency,
        "framed_by": now.framed_by,
        "mouldings": mouldings,
        "version": str(version),
        **changed,
    }


def test_of_two_people_at_one_list_the_second_is_told_and_nothing_is_lost(cast):
    first = money.price_list_save(by=cast.principal, studio=cast.studio, prices=prices(wire="5"), based_on=0)
    with pytest.raises(Conflict, match="changed the price list meanwhile"):
        money.price_list_save(by=cast.coordinator, studio=cast.studio, prices=prices(cleat="20"), based_on=0)
    second = money.price_list_save(
        by=cast.coordinator, studio=cast.studio, prices=prices(wire="5", cleat="20"), based_on=1
    )
    assert (first.version, second.version) == (1, 2)
    now, version = prices_of(cast.studio)
    assert (version, now.rate("wire"), now.rate("cleat")) == (2, Decimal(5), Decimal(20))
    assert PriceList.objects.count() == 2


def test_only_the_office_sets_prices(cast):
    with pytest.raises(NotAllowed):
        money.price_list_save(by=cast.designer, studio=cast.studio, prices=prices(), based_on=0)


@pytest.mark.parametrize(
    ("wrong", "where"),
    [
        (Prices("euro"), "currency"),
        (prices(tax_goods="61"), "tax_goods"),
        (prices(pace="0"), "pace"),
        (Prices("EUR", mouldings={}), "mouldings"),
    ],
)
def test_what_a_price_list_may_not_say(cast, wrong, where):
    with pytest.raises(Invalid) as said:
        money.price_list_save(by=cast.principal, studio=cast.studio, prices=wrong, based_on=0)
    assert where in [fault["where"] for fault in said.value.faults]
    assert not PriceList.objects.exists()


def test_prices_are_set_on_their_page_with_a_comma_and_refused_beside_the_field(cast, client_of):
    client, there = client_of(cast.principal), reverse("prices")
    now, _ = prices_of(cast.studio)
    page = client.get(there).content.decode()
    assert "nobody’s prices" in page
    wrong = client.post(there, form_of(now, 0, hanger="a lot", mouldings="Walnut 4.50"))
    assert wrong.status_code == 422
    assert "is no amount" in wrong.content.decode()
    assert "Line 1" in wrong.content.decode()
    right = form_of(now, 0, hanger="82,50", mouldings="Walnut, slim = 4,50\nOak = 3", currency="eur")
    assert client.post(there, right).status_code == 302
    stored, version = prices_of(cast.studio)
    assert (version, stored.currency, stored.rate("hanger")) == (1, "EUR", Decimal("82.50"))
    assert stored.mouldings == {"Walnut, slim": Decimal("4.50"), "Oak": Decimal(3)}
    again = client.post(there, right)
    assert again.status_code == 422
    assert "meanwhile" in again.content.decode()


def test_an_estimate_is_frozen_and_a_later_change_says_what_it_does(cast, hung, made, client_of):
    client, there = client_of(cast.designer), reverse("estimate", args=[made.pk])
    page = client.get(there).content.decode()
    assert "Framing: Slack water: Plain moulding, backing" in page
    assert "today it would be" not in page
    dearer = prices(hanger="170")
    money.price_list_save(
        by=cast.principal, studio=cast.studio, prices=Prices(made.currency, rates=dearer.rates), based_on=0
    )
    total = made.total
    made.refresh_from_db()
    assert made.total == total
    now = money.estimate_make(
        by=cast.designer,
        revision=hung.revision,
        framed={hung.artwork_id: Framed("Plain moulding", mat=False, glazing=False)},
        purchases=[Purchase("A vase", Decimal("120"))],
    )
    more = now.total - made.total
    assert more > 0
    assert f"it would be {made.currency} {more:,.2f} more" in client.get(there).content.decode()
    assert (made.version, now.version, now.price_version) == (1, 2, 1)


def test_what_was_altered_in_the_database_is_said(cast, made, client_of):
    Estimate.objects.filter(pk=made.pk).update(content=made.content.replace("A vase", "A jar"))
    page = client_of(cast.designer).get(reverse("estimate", args=[made.pk])).content.decode()
    assert "not what was stored" in page
    Estimate.objects.filter(pk=made.pk).update(content=made.content, total=made.total + 1)
    assert "not what was stored" in client_of(cast.designer).get(reverse("estimate", args=[made.pk])).content.decode()


def test_the_hardware_and_points_are_those_of_the_hooks(hung):
    (piece,) = pieces_of(hung.revision)
    assert (piece.hardware, piece.points, piece.group) == ("wire", 1, 1) or piece.points == 2
    assert piece.top_mm == hung.bottom_mm + hung.artwork.height_mm
    assert piece.weight_kg == hung.artwork.weight_kg


def test_a_bare_plan_an_unknown_moulding_and_a_work_of_elsewhere_are_refused(cast, hung):
    elsewhere = PlacementFactory()
    for wrong in (
        {"framed": {hung.artwork_id: Framed("Gold leaf")}},
        {"framed": {elsewhere.artwork_id: Framed("Plain moulding")}},
        {"visits": 0},
    ):
        with pytest.raises(Invalid):
            money.estimate_make(by=cast.designer, revision=hung.revision, **wrong)
    hung.delete()
    with pytest.raises(Invalid, match="Nothing hangs"):
        money.estimate_make(by=cast.designer, revision=hung.revision)
    assert not Estimate.objects.exists()


def test_a_client_approves_by_name_and_designer_and_maker_hear(cast, hung, made, link, client):
    (row, token), project = link, hung.revision.plan.project
    project.designer = cast.designer
    project.save()
    view = reverse("client_view", args=[token])
    there = reverse("estimate_answer", args=[token, made.pk])
    assert "What it costs" not in client.get(view).content.decode()
    assert client.post(there, {"name": "Ada Moor", "answer": "approve"}).status_code == 404
    money.estimate_show(by=cast.designer, estimate=made)
    assert "What it costs" in client.get(view).content.decode()
    assert client.post(there, {"name": "", "answer": "approve"}).status_code == 422
    assert client.post(there, {"name": "Ada Moor", "answer": "change"}).status_code == 422
    assert client.post(there, {"name": "Ada Moor", "answer": "approve"}).status_code == 302
    made.refresh_from_db()
    assert (made.approved, made.answered_by, made.link) == (True, "Ada Moor", row)
    assert "Ada Moor approved this on" in client.get(view).content.decode()
    assert Notice.objects.filter(user=cast.designer, text__contains="Ada Moor approves estimate 1").count() == 1
    with pytest.raises(WrongState):
        money.estimate_answer(link=row, estimate=made, name="Ada", approved=False, text="cheaper")


def test_one_estimate_is_shown_at_a_time_and_an_approved_one_stays(cast, hung, made):
    project = hung.revision.plan.project
    money.estimate_show(by=cast.designer, estimate=made)
    second = money.estimate_make(by=cast.designer, revision=hung.revision)
    assert estimate_shown(project) == made
    money.estimate_show(by=cast.designer, estimate=second)
    assert estimate_shown(project) == second
    made.refresh_from_db()
    assert made.sent_at is None


def test_without_line_prices_the_client_sees_the_sums_alone(cast, hung, link, client):
    one = money.estimate_make(by=cast.designer, revision=hung.revision, line_prices=False)
    money.estimate_show(by=cast.designer, estimate=one)
    page = client.get(reverse("client_view", args=[link[1]])).content.decode()
    assert "Hardware: Slack water" not in page
    assert "Total" in page


def test_the_files_hold_every_line_and_the_same_sum(cast, made, client_of):
    client = client_of(cast.designer)

    def fetched(kind: str) -> bytes:
        return client.get(reverse("estimate_file", args=[made.pk]), {"as": kind}).content

    told = json.loads(fetched("json"))
    lines = told["estimate"]["lines"]
    assert told["sha256"] == made.sha256
    rows = list(csv.reader(io.StringIO(fetched("csv").decode("utf-8-sig"))))
    assert len(rows) == 1 + len(lines) + 3 + 1
    assert rows[-1][3] == "As we said."
    assert sum(Decimal(row[6]) for row in rows[1 : 1 + len(lines)]) == Decimal(told["estimate"]["net"])
    assert Decimal(rows[-2][6]) == made.total
    sheet = load_workbook(io.BytesIO(fetched("xlsx"))).active
    assert sheet.cell(sheet.max_row - 1, 7).value == pytest.approx(float(made.total))
    assert client.get(reverse("estimate_file", args=[made.pk]), {"as": "doc"}).status_code == 422


def test_an_estimate_is_made_on_its_page(cast, hung, client_of):
    client, there = client_of(cast.designer), reverse("estimates", args=[hung.revision.plan.project_id])
    page = client.get(there).content.decode()
    assert "Keeps its frame" in page
    work = hung.artwork_id
    wrong = {"visits": "1", "purchases": "A vase"}
    assert client.post(there, wrong).status_code == 422
    right = {"visits": "2", "purchases": "A vase = 120", f"moulding_{work}": "Plain moulding", f"mat_{work}": "on"}
    answer = client.post(there, right)
    made = Estimate.objects.get()
    assert answer.url == reverse("estimate", args=[made.pk])
    assert made.told["framed"] == {str(work): ["Plain moulding", True, False]}
    assert made.told["visits"] == 2
    assert not made.line_prices
    assert made.currency == "USD"
    assert "Estimate 1" in client.get(there).content.decode()


def test_strangers_reach_nothing(cast, made, client_of):
    client = client_of(cast.stranger)
    for name, arguments in (
        ("estimate", [made.pk]),
        ("estimate_file", [made.pk]),
        ("estimates", [made.revision.plan.project_id]),
    ):
        assert client.get(reverse(name, args=arguments)).status_code == 404
    assert client.post(reverse("estimate_show", args=[made.pk])).status_code == 404
