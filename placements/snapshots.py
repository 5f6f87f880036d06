"""The signed record of a revision: written once as canonical JSON (RFC 8785), read and verified ever after.

What was hashed is what is stored. Verifying hashes the stored text again and never recomputes it, so a record holds
whatever the engine, the survey format's defaults or this code become.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import rfc8785
from django.db.models import Prefetch, prefetch_related_objects

from placements import scenes
from placements.engine import VERSION as ENGINE_VERSION
from placements.engine.house import House
from placements.engine.results import Hanging
from placements.engine.rulebook import Rulebook
from placements.engine.tolerances import Tolerances
from placements.models import Decision, ReviewFinding, Revision, SignOff
from placements.scenes import ProjectScene
from placements.survey import read_survey, write_survey
from studio.errors import ServiceError
from studio.models import User

FORMAT = "overmantel-signed-plan"
#: Since 2 the signer's e-mail and statement are in the record; since 3 in whose name a deputy signed and decided.
VERSION = 3


class BrokenRecord(ServiceError):
    """A signed record that is not what was signed."""

    status = 500
    code = "broken-record"
    title = "This is not what was signed"


@dataclass(frozen=True)
class Signed:
    """A signed revision as its record has it; read it with `signed`, which verifies it first."""

    revision_number: int
    sha256: str
    document: dict[str, Any]

    @cached_property
    def house(self) -> House:
        return read_survey(self.document["survey"]).house

    @property
    def project(self) -> dict[str, str]:
        """name, client, address_note"""
        survey = self.document["survey"]
        return {
            "name": survey["project"]["name"],
            "client": survey["client"]["name"],
            "address_note": survey["project"].get("address", ""),
        }

    @property
    def signed_by(self) -> str:
        return str(self.document["signed"]["by"])

    @property
    def signed_at(self) -> str:
        """The moment in ISO 8601, UTC."""
        return str(self.document["signed"]["at"])

    @property
    def engine(self) -> dict[str, str]:
        """version, rules_fingerprint"""
        engine: dict[str, str] = self.document["engine"]
        return engine

    @property
    def hangings(self) -> tuple[Hanging, ...]:
        """Every piece at its place, by the survey's ids."""
        return tuple(
            Hanging(one["work"], one["wall"], one["left_mm"], one["bottom_mm"], one["order"])
            for one in self.document["plan"]["pieces"]
        )

    def of_works(self, name: str) -> dict[str, Any]:
        """What the record says of each work that hangs, by its id: the row `artwork`, `wall_row`, `space`, `group`."""
        return {one["work"]: one[name] for one in self.document["plan"]["pieces"]}

    @property
    def bares(self) -> tuple[dict[str, str], ...]:
        """wall, space, reason"""
        return tuple(self.document["plan"]["bares"])

    @property
    def findings(self) -> tuple[dict[str, Any], ...]:
        """Exceptions and notes as they stood, each with its justification and what was decided of it by whom."""
        return tuple(self.document["findings"])


@dataclass(frozen=True, slots=True)
class Verification:
    """Whether a record is what was signed; `faults` says in words what is not."""

    stored: str
    computed: str
    faults: tuple[str, ...]

    @property
    def holds(self) -> bool:
        return not self.faults


@dataclass(frozen=True, slots=True)
class Signer:
    """Who signs, in whose name where it is not their own, when (ISO 8601), with which words."""

    by: User
    principal: User | None
    at: str
    statement: str


def tolerances_of(revision: Revision) -> Tolerances:
    """How true the revision's pieces are to hang: as signed, or before that as its house has it now."""
    signed_rules = json.loads(revision.snapshot)["house_rules"] if revision.snapshot else None
    rules = scenes.house_rules_of(revision.plan.project) if signed_rules is None else signed_rules
    return Rulebook(rules).tolerances


def snapshot_text(*, revision: Revision, scene: ProjectScene, findings: Sequence[ReviewFinding], signer: Signer) -> str:
    """The record of a revision that the caller has locked, as the text that is hashed; `scene` is its project's."""
    project = revision.plan.project
    standing = Decision.objects.filter(withdrawn_at=None).select_related("by", "in_name_of")
    prefetch_related_objects(findings, "artworks", Prefetch("decisions", standing, to_attr="standing"))
    document: dict[str, Any] = {
        "format": FORMAT,
        "version": VERSION,
        "revision": revision.number,
        "survey": write_survey(scenes.survey_of(project, scene=scene)),
        "plan": {
            "pieces": [
                {
                    "work": scene.work_code[placement.artwork_id],
                    "artwork": placement.artwork_id,
                    "wall": scene.wall_code[placement.wall_id],
                    "wall_row": placement.wall_id,
                    "left_mm": placement.left_mm,
                    "bottom_mm": placement.bottom_mm,
                    "order": placement.order,
                    "space": placement.space,
                    "group": placement.group,
                    "locked": placement.locked,
                }
                for placement in revision.placements.order_by("wall", "order", "pk")
            ],
            "bares": [
                {"wall": scene.wall_code[bare.wall_id], "space": bare.space, "reason": bare.reason}
                for bare in revision.bares.order_by("wall", "space")
            ],
        },
        "house_rules": scene.house.house_rules,
        "engine": {"version": ENGINE_VERSION, "rules_fingerprint": Rulebook.for_house(scene.house).fingerprint},
        "findings": [_finding(finding, scene) for finding in findings],
        "signed": {
            "by": str(signer.by),
            "email": signer.by.email,
            "in_name_of": str(signer.principal) if signer.principal else "",
            "at": signer.at,
            "statement": signer.statement,
        },
    }
    return rfc8785.dumps(document).decode()


def sha256_of(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def verify(revision: Revision) -> Verification:
    """Hash the stored record again, and compare it with both places where its hash was written down, and the words
    beside it with the words in it."""
    computed = sha256_of(revision.snapshot)
    faults = []
    if not revision.snapshot:
        faults.append("There is no record.")
    if computed != revision.sha256:
        faults.append("The record was changed after it was signed.")
    signature = getattr(revision, "sign_off", None)
    if signature is None:
        faults.append("It is not signed.")
    elif signature.sha256 != revision.sha256:
        faults.append("The signature belongs to another record.")
    if not faults and _pieces_of_rows(revision) != _pieces_of_record(revision.snapshot):
        faults.append("The plan's rows are no longer what was signed; the record is.")
    if not faults and signature is not None:
        faults.extend(_altered_words(revision, signature))
    return Verification(revision.sha256, computed, tuple(faults))


def signed(revision: Revision) -> Signed:
    """The record of a signed revision.

    Raises:
        BrokenRecord: it is not what was signed.
    """
    verification = verify(revision)
    if not verification.holds:
        raise BrokenRecord(f"Revision {revision.number}: {' '.join(verification.faults)}")
    return Signed(revision.number, revision.sha256, json.loads(revision.snapshot))


def _finding(row: ReviewFinding, scene: ProjectScene) -> dict[str, Any]:
    newest = next(iter(row.standing), None)  # type: ignore[attr-defined]
    return {
        "key": row.key,
        "rule": row.rule,
        "level": row.level,
        "text": row.text,
        "wall": scene.wall_code[row.wall_id],
        "works": [scene.work_code[artwork.pk] for artwork in row.artworks.all() if artwork.pk in scene.work_code],
        "space": row.space,
        "measured": row.measured,
        "low": row.low,
        "high": row.high,
        "unit": row.unit,
        "justification": row.justification,
        "decision": {
            "verdict": newest.verdict,
            "reason": newest.reason,
            "by": str(newest.by) if newest.by else "",
            "in_name_of": str(newest.in_name_of) if newest.in_name_of else "",
            "at": newest.created_at.isoformat(),
        }
        if newest
        else None,
    }


def _altered_words(revision: Revision, signature: SignOff) -> list[str]:
    """What stands beside the record and is not what it says; a record of version 1 holds no statement."""
    document = json.loads(revision.snapshot)
    words = document["signed"]
    faults = []
    if signature.name != words["by"]:
        faults.append("The signer's name was changed after it was signed.")
    if document["version"] >= 2 and signature.statement != words["statement"]:
        faults.append("The statement was changed after it was signed.")
    if document["version"] >= 3 and str(signature.in_name_of or "") != words["in_name_of"]:
        faults.append("In whose name it was signed was changed after it was signed.")
    if signature.at.isoformat() != words["at"]:
        faults.append("The time was changed after it was signed.")
    if revision.rules_fingerprint != document["engine"]["rules_fingerprint"]:
        faults.append("The fingerprint of the rules was changed after it was signed.")
    return faults


def _pieces_of_rows(revision: Revision) -> set[tuple[int, int, float, float]]:
    return {
        (placement.artwork_id, placement.wall_id, placement.left_mm, placement.bottom_mm)
        for placement in revision.placements.all()
    }


def _pieces_of_record(text: str) -> set[tuple[int, int, float, float]]:
    return {
        (one["artwork"], one["wall_row"], float(one["left_mm"]), float(one["bottom_mm"]))
        for one in json.loads(text)["plan"]["pieces"]
    }
