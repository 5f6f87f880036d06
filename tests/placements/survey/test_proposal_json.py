import json

import pytest

from placements.engine.house import Rect
from placements.engine.results import (
    Arrangement,
    Audit,
    Finding,
    Hanging,
    Ideal,
    Optimality,
    Pairing,
    Proposal,
    Reason,
    Remedy,
    Space,
    Unplaced,
)
from placements.survey import as_text, proposal_to_json, read_survey
from tests.placements.surveys import survey_document

INCH = 25.4


@pytest.fixture
def survey():
    return read_survey(survey_document())


@pytest.fixture
def proposal():
    clearance = Finding(
        "clearance", "exception", "14 in above the sofa.", "north", ("a2",), measured=14 * INCH, low=6 * INCH, unit="mm"
    )
    ratio = Finding("two-thirds", "note", "Narrow.", "north", ("a2",), measured=0.48, low=0.6, high=0.75, unit="ratio")
    space = Space(
        "north:sofa",
        "sitting",
        "north",
        "over_furniture",
        "sofa",
        Rect(36 * INCH, 34 * INCH, 128 * INCH, 74 * INCH),
        "landscape",
        "hang",
        (Reason("two-thirds", "A sofa wants one piece."),),
        Ideal((50.4 * INCH, 63 * INCH), (20 * INCH, 50 * INCH), "landscape"),
        84 * INCH,
    )
    return Proposal(
        spaces=(space,),
        pairings=(
            Pairing(
                "north:sofa", "a2", True, 87.4444, {"two-thirds": 0.5, "eye-line": 1.0}, 64 * INCH, 48 * INCH,
                68 * INCH, 14 * INCH, findings=(clearance, ratio),
            ),
        ),
        plan=(
            Arrangement(
                "north:sofa", "north", "single", (Hanging("a2", "north", 64 * INCH, 48 * INCH),), 87.4444,
                findings=(clearance,), remedies=(Remedy("move", "Lower it by 6 in.", "a2"),),
            ),
        ),
        audit=(Audit("a1", "north", 91.0, (), ()),),
        unplaced=(Unplaced("a3", "No space of its size is left."),),
        optimality=Optimality(87.4444, 90.0, 0.0284, 0.123456),
    )  # fmt: skip


def test_lengths_are_numbers_in_the_units_of_the_file(survey, proposal):
    document = proposal_to_json(proposal, survey)
    space = document["spaces"][0]
    assert (space["left"], space["bottom"], space["width"], space["height"]) == (36, 34, 128, 74)
    assert space["ideal"] == {"width": [50.4, 63], "height": [20, 50], "shape": "landscape"}
    pairing = document["pairings"][0]
    assert (pairing["left"], pairing["centre_height"], pairing["clearance"], pairing["score"]) == (64, 68, 14, 87.44)
    assert list(pairing["terms"]) == ["eye-line", "two-thirds"]


def test_findings_carry_measure_and_allowed_band(survey, proposal):
    clearance, ratio = proposal_to_json(proposal, survey)["pairings"][0]["findings"]
    assert (clearance["measured"], clearance["allowed"], clearance["unit"]) == (14, [6, None], "in")
    assert (ratio["measured"], ratio["allowed"], ratio["unit"]) == (0.48, [0.6, 0.75], "ratio")


def test_pieces_carry_their_hooks(survey, proposal):
    # a2 is 40 in square on two rings 20 in apart, 2 in below the top: 64 + 20 ± 10 in along, 48 + 40 - 2 in up.
    (piece,) = proposal_to_json(proposal, survey)["plan"][0]["pieces"]
    assert piece["hooks"] == [{"left": 74, "height": 86}, {"left": 94, "height": 86}]


def test_the_document_has_the_published_keys(survey, proposal):
    document = proposal_to_json(proposal, survey)
    assert (document["format"], document["version"], document["units"]) == ("overmantel-proposal", 1, "in")
    assert document["audit"] == [{"art": "a1", "wall": "north", "score": 91, "findings": [], "remedies": []}]
    assert document["unplaced"] == [{"art": "a3", "why": "No space of its size is left."}]
    assert document["optimality"] == {"objective": 87.4444, "bound": 90, "gap": 0.0284, "seconds": 0.123}
    assert document["plan"][0]["remedies"][0] == {"kind": "move", "text": "Lower it by 6 in.", "art": "a2", "gain": 0}


def test_the_same_proposal_gives_the_same_bytes(survey, proposal):
    text = as_text(proposal_to_json(proposal, survey, with_seconds=False))
    assert text == as_text(proposal_to_json(proposal, survey, with_seconds=False))
    assert json.loads(text)["optimality"].keys() == {"objective", "bound", "gap"}
