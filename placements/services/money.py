"""Writes: a studio's price list, estimates, and what clients say to them."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from decimal import Decimal

from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from placements import access
from placements.estimating.lines import Framed, Purchase
from placements.estimating.prices import BOUNDS, BY_ID, LONGEST_NAME, MOST, MOST_MOULDINGS, Prices
from placements.models import ClientLink, Estimate, PriceList, Revision
from placements.selectors.estimates import price_list_of, prices_of, reckoned
from studio.errors import Conflict, Invalid, WrongState
from studio.inputs import read_text
from studio.models import Studio, User

from .notices import notice_send

LONGEST_NOTE, LONGEST_NAME_GIVEN = 2000, 120
MOST_VISITS, MOST_PURCHASES = 30, 60
_LETTERS = 3


@transaction.atomic
def price_list_save(*, by: User, studio: Studio, prices: Prices, based_on: int) -> PriceList:
    """The next version of a studio's price list.

    based_on : the version that the writer saw; 0 where there was none.

    Raises:
        Conflict: somebody stored another version meanwhile; nothing is stored.
        Invalid: a rate outside its bounds, a moulding without a name, a currency of other than three letters.
    """
    access.require(by=by, studio=studio, roles=access.OFFICE, to="change the price list")
    Studio.objects.select_for_update().get(pk=studio.pk)
    newest = price_list_of(studio)
    version = newest.version if newest else 0
    if version != based_on:
        who = newest.made_by if newest and newest.made_by else "somebody"
        raise Conflict(
            f"{who} changed the price list meanwhile (it is version {version} now), so nothing was stored. "
            "Look at it again, then make your change.",
            extra={"version": version},
        )
    if faults := _faults(prices):
        raise Invalid("The price list was not stored. Correct what is named.", faults=faults)
    return PriceList.objects.create(studio=studio, version=version + 1, content=prices.as_json(), made_by=by)


def _faults(prices: Prices) -> list[dict[str, str]]:
    faults = []
    if len(prices.currency) != _LETTERS or not (prices.currency.isascii() and prices.currency.isupper()):
        faults.append({"where": "currency", "detail": "Three capital letters, as EUR, GBP or USD."})
    for name, rate in prices.rates.items():
        most = BOUNDS.get(name, MOST)
        if not 0 <= rate <= most:
            faults.append({"where": name, "detail": f"{BY_ID[name].name}: between 0 and {most}."})
    if prices.rate("pace") <= 0:
        faults.append({"where": "pace", "detail": "More than 0."})
    if not 1 <= len(prices.mouldings) <= MOST_MOULDINGS:
        faults.append({"where": "mouldings", "detail": f"At least one moulding, at most {MOST_MOULDINGS}."})
    if any(not name or len(name) > LONGEST_NAME for name in prices.mouldings):
        faults.append({"where": "mouldings", "detail": f"Each has a name of at most {LONGEST_NAME} characters."})
    return faults


@transaction.atomic
def estimate_make(
    *,
    by: User,
    revision: Revision,
    framed: Mapping[int, Framed] | None = None,
    purchases: Sequence[Purchase] = (),
    visits: int = 1,
    note: str = "",
    line_prices: bool = True,
) -> Estimate:
    """A new version of what a revision costs, frozen with the prices of today.

    Raises:
        Invalid: nothing hangs yet, a work that does not hang here, an unknown moulding, too many visits or purchases.
    """
    studio = revision.plan.project.client.studio
    access.require(by=by, studio=studio, roles=access.EVERYONE, to="make an estimate")
    prices, price_version = prices_of(studio)
    framed, note, faults = dict(framed or {}), read_text(note, longest=LONGEST_NOTE, where="note"), []
    hung = set(revision.placements.values_list("artwork", flat=True))
    if not hung:
        faults.append({"where": "", "detail": "Nothing hangs in this plan yet: hang something, then estimate it."})
    if set(framed) - hung:
        faults.append({"where": "framed", "detail": "Only works that hang in this plan can be framed for it."})
    if unknown := sorted({one.moulding for one in framed.values()} - set(prices.mouldings)):
        faults.append({"where": "framed", "detail": f"The price list has no moulding “{unknown[0]}”."})
    if not 1 <= visits <= MOST_VISITS:
        faults.append({"where": "visits", "detail": f"Between 1 and {MOST_VISITS}."})
    if len(purchases) > MOST_PURCHASES:
        faults.append({"where": "purchases", "detail": f"At most {MOST_PURCHASES} lines."})
    if faults:
        raise Invalid(" ".join(fault["detail"] for fault in faults), faults=faults)
    sums = reckoned(revision, prices, framed, tuple(purchases), visits)
    told = sums.as_json() | {
        "framed": {str(pk): [one.moulding, one.mat, one.glazing] for pk, one in sorted(framed.items())},
        "purchases": [[one.text, str(one.amount)] for one in purchases],
        "prices": prices.as_json(),
        "revision": revision.number,
        "record": revision.sha256,
    }
    content = json.dumps(told, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    Revision.objects.select_for_update().get(pk=revision.pk)
    newest = Estimate.objects.filter(revision__plan=revision.plan).order_by("-version").first()
    return Estimate.objects.create(
        revision=revision,
        version=newest.version + 1 if newest else 1,
        price_version=price_version,
        content=content,
        sha256=hashlib.sha256(content.encode()).hexdigest(),
        currency=prices.currency,
        total=sums.total,
        note=note,
        line_prices=line_prices,
        made_by=by,
    )


@transaction.atomic
def estimate_show(*, by: User, estimate: Estimate) -> Estimate:
    """Show an estimate at the project's client links; one shown before it is shown no more, unless it is answered."""
    access.require(
        by=by, studio=estimate.revision.plan.project.client.studio, roles=access.EVERYONE, to="show an estimate"
    )
    estimate = Estimate.objects.select_for_update(of=("self",)).get(pk=estimate.pk)
    if estimate.sent_at is None:
        earlier = Estimate.objects.filter(revision__plan=estimate.revision.plan, approved=None).exclude(pk=estimate.pk)
        earlier.update(sent_at=None)
        estimate.sent_at = timezone.now()
        estimate.save(update_fields=["sent_at", "updated_at"])
    return estimate


@transaction.atomic
def estimate_answer(*, link: ClientLink, estimate: Estimate, name: str, approved: bool, text: str) -> Estimate:
    """What the client says to an estimate that is shown: approved by name, or a change wanted.

    Raises:
        WrongState: it is shown no more, or was approved before. Invalid: no name, or a change without a word.
    """
    name = read_text(name, longest=LONGEST_NAME_GIVEN, where="name")
    text = read_text(text, longest=LONGEST_NOTE, where="text")
    estimate = Estimate.objects.select_for_update(of=("self",)).get(pk=estimate.pk)
    if estimate.sent_at is None or estimate.approved:
        raise WrongState("This estimate was approved already, or another has taken its place: load the page again.")
    faults = []
    if not name:
        faults.append({"where": "name", "detail": "Write your name."})
    if not approved and not text:
        faults.append({"where": "text", "detail": "Say what should change."})
    if faults:
        raise Invalid(" ".join(fault["detail"] for fault in faults), faults=faults)
    estimate.approved, estimate.answered_at, estimate.answered_by = approved, timezone.now(), name
    estimate.answer, estimate.link = text, link
    estimate.save()
    project = estimate.revision.plan.project
    people = {one.pk: one for one in (project.designer, estimate.made_by) if one is not None}
    said = "approves" if approved else "would like a change to"
    notice_send(
        studio=project.client.studio,
        to=[people[pk] for pk in sorted(people)],
        url=reverse("estimate", args=[estimate.pk]),
        text=f"{name} {said} estimate {estimate.version} of {project}.",
    )
    return estimate


def is_whole(estimate: Estimate) -> bool:
    """Whether an estimate's lines are what was hashed, and its total is theirs."""
    told = estimate.told
    same = hashlib.sha256(estimate.content.encode()).hexdigest() == estimate.sha256
    return same and Decimal(told["total"]) == estimate.amount and told["currency"] == estimate.currency
