"""Signed revisions for tests of sheets and jobs: an invented house with every kind of hanging hardware."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass

from django.core.files.base import ContentFile

from placements import snapshots
from placements.models import Placement, Revision, RevisionState, SignOff
from placements.scenes import placed_scene
from studio.models import Artwork, Wall
from tests.factories import (
    INCH,
    ArtworkFactory,
    Cast,
    ClientFactory,
    ItemFactory,
    PlanFactory,
    ProjectFactory,
    RevisionFactory,
    RoomFactory,
    WallFactory,
)
from tests.pictures import jpeg

SIGNED_AT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


@dataclass
class SignedHouse:
    revision: Revision
    walls: list[Wall]
    works: list[Artwork]
    placements: list[Placement]


def signed_house(cast: Cast, *, pictures: bool = True) -> SignedHouse:
    """A signed revision: a glazed piece on a wire over a sofa, then a row of three over a console, one not measured."""
    project = ProjectFactory(
        client=ClientFactory(studio=cast.studio, name="The Alder family"),
        name="Marlow house",
        address_note="Side gate; ring twice.",
    )
    room = RoomFactory(project=project, code="sitting")
    north = WallFactory(room=room, code="north", name="North wall", stud_first_mm=8 * INCH, stud_spacing_mm=16 * INCH)
    ItemFactory(wall=north, code="sofa")
    ItemFactory(wall=north, code="outlet", kind="outlet", left_mm=70 * INCH, bottom_mm=12 * INCH, width_mm=3 * INCH,
                height_mm=5 * INCH, depth_mm=0, label="outlet")  # fmt: skip
    east = WallFactory(room=room, code="east", name="East wall", build="plaster", length_mm=240 * INCH)
    ItemFactory(wall=east, code="console", kind="console", left_mm=60 * INCH, width_mm=60 * INCH, height_mm=30 * INCH,
                depth_mm=14 * INCH)  # fmt: skip
    small = {
        "client": project.client, "project": project, "width_mm": 20 * INCH, "height_mm": 16 * INCH,
        "depth_mm": INCH, "frame": "oak", "hang_inset_mm": None, "hang_length_mm": None,
    }  # fmt: skip
    works = [
        ArtworkFactory(client=project.client, project=project, code="slack", title="Slack water", glazed=True,
                       frame="black", storage="Studio store, rack 4"),
        ArtworkFactory(**small, code="quarry", title="Quarry, study", weight_kg=2.4, storage="Studio store, rack 4",
                       hang_kind="two_rings", hang_below_top_mm=3 * INCH, hang_spacing_mm=12 * INCH),
        ArtworkFactory(**small, code="marram", title="Marram", weight_kg=None, storage="The framer",
                       hang_kind="sawtooth", hang_below_top_mm=INCH),
        ArtworkFactory(**small, code="terraces", title="Three terraces", weight_kg=3, hang_kind="",
                       hang_below_top_mm=None),
    ]  # fmt: skip
    if pictures:
        for work, colour in zip(works, ("#667788", "#aa8866", "#557755", "#888888"), strict=True):
            work.picture.save(f"{work.code}.jpg", ContentFile(jpeg(colour)))
    revision = RevisionFactory(plan=PlanFactory(project=project), number=3)
    places = [(north, 56, 42, 1), (east, 80.5, 50, 1), (east, 58, 50, 2), (east, 103, 50, 3)]
    placements = [
        Placement.objects.create(
            revision=revision, wall=wall, artwork=work, left_mm=left * INCH, bottom_mm=bottom * INCH, order=order
        )
        for work, (wall, left, bottom, order) in zip(works, places, strict=True)
    ]
    sign(revision, cast)
    return SignedHouse(revision, [north, east], works, placements)


def sign(revision: Revision, cast: Cast) -> None:
    """Freeze a revision as sign-off does, without the review before it."""
    signer = snapshots.Signer(cast.principal, None, SIGNED_AT.isoformat(), "")
    revision.snapshot = snapshots.snapshot_text(
        revision=revision, scene=placed_scene(revision), findings=(), signer=signer
    )
    revision.sha256 = snapshots.sha256_of(revision.snapshot)
    revision.rules_fingerprint = json.loads(revision.snapshot)["engine"]["rules_fingerprint"]
    revision.state = RevisionState.SIGNED
    revision.save()
    SignOff.objects.create(
        revision=revision, by=cast.principal, name=cast.principal.name, sha256=revision.sha256, at=SIGNED_AT
    )
