"""What must hold for any house: drawn walls, items and works, and sizes as collections have them."""

from __future__ import annotations

import itertools

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from placements.engine.facade import assess_wall, propose
from placements.engine.house import House, Rail, Room
from tests.scenes import INCH, item, wall, work

STANDING = ("sofa", "console", "chest", "bookcase", "floor_lamp", "door", "bed", "mantel", "nightstand")
HANGING = ("window", "sconce", "switch", "outlet", "panel", "statement_light", "niche", "thermostat")
#: Frame and support sizes in inches, most usual first: common frame sizes of the trade, and ISO 216 A-sizes.
SIZES = (
    (5, 7),
    (8, 10),
    (11, 14),
    (16, 20),
    (18, 24),
    (24, 36),
    (30, 40),
    (40, 50),
    (16.5, 23.4),
    (11.7, 16.5),
    (60, 30),
)


@st.composite
def items(draw):
    found = []
    for number in range(draw(st.integers(0, 6))):
        kind = draw(st.sampled_from(STANDING + HANGING))
        left, width = draw(st.integers(0, 140)), draw(st.integers(3, 84))
        bottom = 0 if kind in STANDING else draw(st.integers(10, 80))
        found.append(item(kind, left, bottom, width, draw(st.integers(4, 60)), 10, id=f"i{number}"))
    return found


@st.composite
def houses(draw):
    walls = []
    for number in range(draw(st.integers(1, 2))):
        rail = Rail(0, 35 * INCH, 120 * INCH, 121 * INCH) if draw(st.booleans()) and number else None
        walls.append(
            wall(
                *draw(items()), id=f"w{number}", length=draw(st.integers(60, 200)), height=108 + 60 * number, rail=rail
            )
        )
    works = []
    for number in range(draw(st.integers(0, 6))):
        width, height = draw(st.sampled_from(SIZES))[:: draw(st.sampled_from((1, -1)))]
        name = draw(st.sampled_from((None, None, "pair")))
        lock = draw(st.sampled_from((None, None, None, "w0", "r")))
        works.append(
            work(
                f"a{number}",
                width,
                height,
                set_name=name,
                locked=lock,
                form=draw(st.sampled_from(("print", "mirror", "painting"))),
            )
        )
    return House((Room("r", "Room", "living", walls=tuple(walls)),), tuple(works))


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(houses())
def test_any_house_gets_a_plan_that_can_hang(house):
    found = propose(house, alternatives=1)
    spaces = {space.id: space for space in found.spaces}
    assert [one.space for one in found.plan] == list(spaces)
    hung = [piece.work for one in found.plan for piece in one.pieces]
    assert len(hung) == len(set(hung))
    assert sorted(hung + [one.work for one in found.unplaced]) == sorted(work.id for work in house.works)
    assert 0 <= found.optimality.gap <= 0.05
    assert found.optimality.bound >= found.optimality.objective - 1e-6
    for one in found.plan:
        assert not any(finding.level == "stop" for finding in one.findings)
        for piece in one.pieces:
            lock = house.work_by_id[piece.work].locked
            assert lock in (None, one.space, one.wall, spaces[one.space].room)
    _nothing_overlaps(house, found)
    for works in _sets(house):
        assert len({one.space for one in found.plan for piece in one.pieces if piece.work in works}) <= 1


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(houses())
def test_judging_the_plan_again_finds_no_new_fault(house):
    """The wall as proposed, told by `assess_wall`, scores what the plan says, space by space."""
    found = propose(house, alternatives=0, pairings=False)
    hangings = [piece for one in found.plan for piece in one.pieces]
    scores = {one.space: one.score for one in found.plan if one.pieces and one.kind == "single"}
    for _, one in house.walls():
        for arrangement in assess_wall(house, one.id, hangings).arrangements:
            if arrangement.space in scores and arrangement.kind == "single":
                assert abs(arrangement.score - scores[arrangement.space]) < 1e-6


def _nothing_overlaps(house: House, found) -> None:
    by_wall: dict[str, list[tuple[float, float, float, float]]] = {}
    for one in found.plan:
        for piece in one.pieces:
            size = house.work_by_id[piece.work]
            box = (piece.left, piece.bottom, piece.left + size.width, piece.bottom + size.height)
            by_wall.setdefault(one.wall, []).append(box)
    for boxes in by_wall.values():
        for a, b in itertools.combinations(boxes, 2):
            across, upward = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
            assert across <= 1e-6 or upward <= 1e-6


def _sets(house: House) -> list[set[str]]:
    names = {work.set_name for work in house.works if work.set_name}
    return [{work.id for work in house.works if work.set_name == name} for name in names]
