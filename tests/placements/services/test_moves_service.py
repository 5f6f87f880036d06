import math

import pytest

from placements.models import Bare, Placement, Transition
from placements.pieces import Piece
from placements.selectors.walls import hanging_in
from placements.services import moves, plans
from placements.services.walls import Edit
from studio.errors import Conflict, Invalid, Missing, NotAllowed, WrongState
from tests.factories import ArtworkFactory, ItemFactory, ProjectFactory, WallFactory, make_cast
from tests.placements.hands import in_hand, taken_up

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast():
    return make_cast()


@pytest.fixture
def project(cast):
    return ProjectFactory(client__studio=cast.studio)


@pytest.fixture
def revision(cast, project):
    return plans.revision_open(by=cast.designer, project=project)


@pytest.fixture
def wall(project):
    return WallFactory(room__project=project)


@pytest.fixture
def work(project):
    return ArtworkFactory(client=project.client)


def place(cast, revision, wall, work, version=None, **fields):
    return moves.placement_place(
        edit=Edit(cast.designer, version),
        hand=in_hand(revision, wall),
        artwork=work,
        **{"left_mm": 1000.0, "bottom_mm": 1200.0, **fields},
    )


def test_first_opening_makes_revision_one(cast, project):
    revision = plans.revision_open(by=cast.designer, project=project)
    assert (revision.number, revision.state) == (1, "draft")
    assert plans.revision_open(by=cast.principal, project=project) == revision
    assert Transition.objects.get(revision=revision).by == cast.designer


def test_new_revision_after_a_signed_one_starts_from_it(cast, project, revision, wall, work):
    place(cast, revision, wall, work, left_mm=1016.0)
    revision.state, revision.sha256 = "signed", "0" * 64
    revision.save()
    following = plans.revision_open(by=cast.designer, project=project)
    assert (following.number, following.based_on) == (2, revision)
    assert following.placements.get().left_mm == 1016.0
    assert revision.placements.get().left_mm == 1016.0


def test_placing_counts_a_version_and_history_names_the_editor(cast, revision, wall, work):
    placement = place(cast, revision, wall, work, version=1)
    assert in_hand(revision, wall).version == 2
    assert placement.history.get().history_user == cast.designer


def test_stale_version_is_a_conflict_that_shows_the_newer_wall(cast, revision, wall, work):
    place(cast, revision, wall, work, version=1)
    with pytest.raises(Conflict) as refused:
        place(cast, revision, wall, ArtworkFactory(client=work.client), version=1)
    assert refused.value.extra["current"]["version"] == 2
    assert refused.value.extra["current"]["pieces"][0]["artwork"] == work.pk
    assert cast.designer.name in refused.value.detail
    assert Placement.objects.count() == 1


def test_a_wall_in_hand_is_read_again_where_somebody_changed_it_meanwhile(cast, revision, wall, work):
    hand = in_hand(revision, wall)
    assert (hand.pieces, hand.version) == ((), 1)
    place(cast, revision, wall, work)
    moves.wall_leave_bare(edit=Edit(cast.designer), hand=hand, reason="Let it rest.")
    assert not revision.placements.exists()
    assert (hand.pieces, hand.version, hand.bares) == ((), 3, {"": "Let it rest."})


def test_after_a_refused_edit_the_wall_in_hand_is_as_it_hangs(cast, revision, wall, work):
    hand = in_hand(revision, wall)
    placement = place(cast, revision, wall, work)
    with pytest.raises(Conflict):
        moves.placement_move(edit=Edit(cast.designer, 1), hand=hand, placement=placement, left_mm=0.0, bottom_mm=1200.0)
    assert [(piece.artwork, piece.left_mm) for piece in hand.pieces] == [(work, 1000.0)]
    assert hand.version == 2


@pytest.fixture
def sofas(project):
    """A long wall over two sofas, and where the middle of a piece 24 in wide over the one and the other is."""
    wall = WallFactory(room__project=project, length_mm=8000.0)
    ItemFactory(wall=wall, code="left-sofa", left_mm=500.0, width_mm=2000.0)
    ItemFactory(wall=wall, code="right-sofa", left_mm=5500.0, width_mm=2000.0)
    return wall, {"left_mm": 1200.0, "bottom_mm": 1150.0}, {"left_mm": 6200.0, "bottom_mm": 1150.0}


def test_a_piece_hangs_in_the_space_where_it_is(cast, revision, work, sofas):
    wall, left, right = sofas
    placement = place(cast, revision, wall, work, **left)
    assert "left-sofa" in placement.space
    moved = moves.placement_move(edit=Edit(cast.designer, 2), **taken_up(placement), **right)
    assert "right-sofa" in moved.space


def test_a_piece_nudged_within_its_space_stays_of_its_group(cast, project, revision, work, sofas):
    wall, left, right = sofas
    second = ArtworkFactory(client=project.client)
    space = place(cast, revision, wall, work, **left).space
    pieces = [Piece(work, **left, space=space, group="g", why="A pair."), Piece(second, 1900.0, 1150.0)]
    moves.arrangement_replace(edit=Edit(cast.designer, 2), hand=in_hand(revision, wall), pieces=pieces)
    placement = revision.placements.get(artwork=work)
    nudged = moves.placement_move(
        edit=Edit(cast.designer, 3), **taken_up(placement), left_mm=left["left_mm"] - 25.4, bottom_mm=left["bottom_mm"]
    )
    assert (nudged.space, nudged.group, nudged.why) == (space, "g", "A pair.")
    gone = moves.placement_move(edit=Edit(cast.designer, 4), **taken_up(nudged), **right)
    assert (gone.group, gone.why) == ("", "")


def test_a_piece_moved_to_a_bare_space_ends_its_being_bare(cast, revision, work, sofas):
    wall, left, right = sofas
    placement = place(cast, revision, wall, work, **right)
    over_right = placement.space
    placement = moves.placement_move(edit=Edit(cast.designer, 2), **taken_up(placement), **left)
    moves.wall_leave_bare(edit=Edit(cast.designer, 3), hand=in_hand(revision, wall), space=over_right, reason="Calm.")
    moves.placement_move(edit=Edit(cast.designer, 4), **taken_up(placement), **right)
    assert not Bare.objects.exists()


def test_leaving_a_space_bare_takes_down_what_hangs_there_whatever_was_kept(cast, project, revision, work, sofas):
    wall, left, right = sofas
    over_right = place(cast, revision, wall, work, **right).space
    other = place(cast, revision, wall, ArtworkFactory(client=project.client), **left)
    revision.placements.update(space="")  # as after a new survey of the wall
    moves.wall_leave_bare(edit=Edit(cast.designer, 3), hand=in_hand(revision, wall), space=over_right, reason="Calm.")
    assert revision.placements.get() == other


def test_what_is_kept_in_no_space_hangs_where_the_engine_sees_it(cast, project, revision, work, sofas):
    wall, left, _ = sofas
    over_left = place(cast, revision, wall, work, **left).space
    revision.placements.update(space="")
    assert hanging_in(in_hand(revision, wall), {over_left}) == {work.pk}
    assert hanging_in(in_hand(revision, wall), {""}) == set()


@pytest.mark.parametrize("bad", [math.nan, math.inf, 2e5, -1e6], ids=str)
def test_a_place_that_is_no_place_is_refused(cast, revision, wall, work, bad):
    with pytest.raises(Invalid, match="within 100 m"):
        place(cast, revision, wall, work, left_mm=bad)
    assert in_hand(revision, wall).version == 1


def test_a_piece_wholly_off_the_wall_is_refused(cast, revision, wall, work):
    with pytest.raises(Invalid, match="wholly beside"):
        place(cast, revision, wall, work, left_mm=wall.length_mm + 1)


def test_a_work_hangs_once_and_the_wall_it_left_counts_a_change(cast, project, revision, wall, work):
    other = WallFactory(room__project=project)
    place(cast, revision, wall, work)
    place(cast, revision, other, work)
    assert [placement.wall for placement in revision.placements.all()] == [other]
    assert in_hand(revision, wall).version == 3


def test_a_work_of_another_client_is_missing(cast, revision, wall):
    with pytest.raises(Missing):
        place(cast, revision, wall, ArtworkFactory(client__studio=cast.studio))


def test_studio_stock_may_hang(cast, revision, wall):
    assert place(cast, revision, wall, ArtworkFactory(client=None, studio=cast.studio)).pk


def test_a_wall_of_another_project_is_missing(cast, revision, work):
    with pytest.raises(Missing):
        place(cast, revision, WallFactory(), work)


@pytest.mark.parametrize("who", ["coordinator", "stranger"])
def test_only_designers_and_principals_edit(cast, revision, wall, work, who):
    with pytest.raises(NotAllowed):
        moves.placement_place(
            edit=Edit(getattr(cast, who)), hand=in_hand(revision, wall), artwork=work, left_mm=0, bottom_mm=0
        )


def test_leaving_bare_takes_down_what_hangs_there_and_says_why(cast, revision, wall, work):
    place(cast, revision, wall, work, space="over-sofa")
    moves.wall_leave_bare(
        edit=Edit(cast.designer, 2), hand=in_hand(revision, wall), space="over-sofa", reason="The beam is the show."
    )
    assert not revision.placements.exists()
    assert Bare.objects.get().reason == "The beam is the show."
    assert Placement.history.filter(history_type="-").get().history_user == cast.designer


def test_leaving_bare_needs_a_reason(cast, revision, wall):
    with pytest.raises(Invalid, match="why"):
        moves.wall_leave_bare(edit=Edit(cast.designer, 1), hand=in_hand(revision, wall), reason="  ")


def test_hanging_in_a_bare_space_ends_its_being_bare(cast, revision, wall, work):
    moves.wall_leave_bare(edit=Edit(cast.designer, 1), hand=in_hand(revision, wall), reason="Let it rest.")
    place(cast, revision, wall, work, version=2)
    assert not Bare.objects.exists()


def test_unbaring_what_is_not_bare_is_missing(cast, revision, wall):
    with pytest.raises(Missing):
        moves.wall_unbare(edit=Edit(cast.designer, 1), hand=in_hand(revision, wall))


def test_replacing_makes_the_wall_exactly_so_and_can_be_undone(cast, project, revision, wall, work):
    second, third = ArtworkFactory(client=project.client), ArtworkFactory(client=project.client)
    other = WallFactory(room__project=project)
    place(cast, revision, wall, work, space="s1")
    place(cast, revision, other, third)
    before = in_hand(revision, wall).as_data()
    moves.arrangement_replace(
        edit=Edit(cast.designer, 2),
        hand=in_hand(revision, wall),
        pieces=[Piece(second, 100.0, 1400.0, 1, group="g"), Piece(third, 2000.0, 1400.0, 2, group="g")],
        bares=[("s2", "Too dark.")],
    )
    assert {row.artwork_id: row.left_mm for row in revision.placements.filter(wall=wall)} == {
        second.pk: 100.0,
        third.pk: 2000.0,
    }
    assert not revision.placements.filter(wall=other).exists()
    undone = [Piece.read(piece, {work.pk: work}) for piece in before["pieces"]]
    moves.arrangement_replace(edit=Edit(cast.designer, 3), hand=in_hand(revision, wall), pieces=undone)
    after = in_hand(revision, wall).as_data()
    strip = [{k: v for k, v in piece.items() if k != "placement"} for piece in after["pieces"]]
    assert strip == [{k: v for k, v in piece.items() if k != "placement"} for piece in before["pieces"]]
    assert after["bares"] == []


def test_a_work_named_twice_is_refused_whole(cast, revision, wall, work):
    with pytest.raises(Invalid, match="twice"):
        moves.arrangement_replace(
            edit=Edit(cast.designer, 1),
            hand=in_hand(revision, wall),
            pieces=[Piece(work, 0.0, 0.0), Piece(work, 9.0, 9.0)],
        )
    assert not revision.placements.exists()


def test_a_frozen_revision_never_changes(cast, revision, wall, work):
    placement = place(cast, revision, wall, work)
    revision.state, revision.sha256 = "signed", "0" * 64
    revision.save()
    with pytest.raises(WrongState, match="new revision") as refused:
        moves.placement_move(edit=Edit(cast.designer, 2), **taken_up(placement), left_mm=0, bottom_mm=0)
    assert refused.value.extra["can"] == "open_revision"


def test_an_edit_in_review_is_told_to_take_the_plan_back_and_can(cast, revision, wall, work):
    placement = place(cast, revision, wall, work)
    revision.state = "in_review"
    revision.save()
    with pytest.raises(WrongState) as refused:
        moves.placement_move(edit=Edit(cast.designer, 2), **taken_up(placement), left_mm=9.0, bottom_mm=1200.0)
    assert refused.value.extra["can"] == "take_back"
    moves.placement_move(
        edit=Edit(cast.designer, 2, take_back=True), **taken_up(placement), left_mm=9.0, bottom_mm=1200.0
    )
    revision.refresh_from_db()
    assert revision.state == "draft"
    assert Transition.objects.filter(revision=revision, from_state="in_review", to_state="draft").exists()


AT = {"left_mm": 9.0, "bottom_mm": 1200.0}
EDITS = {
    moves.placement_place: {"artwork": True, **AT},
    moves.work_hang: {"artwork": True, "space": "", **AT},
    moves.placement_move: {"placement": True, **AT},
    moves.placement_lock: {"placement": True, "locked": True},
    moves.placement_remove: {"placement": True},
    moves.wall_leave_bare: {"reason": "Quiet."},
    moves.wall_unbare: {},
    moves.arrangement_replace: {"pieces": []},
}


@pytest.mark.parametrize("edit", EDITS, ids=lambda edit: edit.__name__)
def test_nothing_takes_a_plan_back_from_review_unasked(cast, revision, wall, work, edit):
    place(cast, revision, wall, work)
    revision.state = "in_review"
    revision.save()
    hand = in_hand(revision, wall)
    before = hand.as_data()
    rows = {"artwork": work, "placement": hand.here[work.pk]}
    given = EDITS[edit] | {name: rows[name] for name in rows.keys() & EDITS[edit].keys()}
    with pytest.raises(WrongState):
        edit(edit=Edit(cast.designer, 2), hand=hand, **given)
    revision.refresh_from_db()
    assert revision.state == "in_review"
    assert in_hand(revision, wall).as_data() == before
    assert not Transition.objects.filter(to_state="draft", from_state="in_review").exists()
