import pytest

from placements.engine.errors import InvalidHouse
from placements.engine.results import Hanging, Unplaced
from placements.models import Placement
from placements.selectors import proposals as reading
from placements.services import moves, proposals
from placements.services.walls import Edit
from studio.errors import Invalid, NotAllowed, WrongState
from tests.placements.hands import taken_up

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(make_job, engine):
    job = make_job(1500.0, 1500.0)
    engine.plan = [
        Hanging(job.works[0].code, job.walls[1].code, 1800.225, 1300.0),
        Hanging(job.works[1].code, job.walls[0].code, 1900.2375, 1300.0),
    ]
    return job


def ask(job):
    return proposals.proposal_request(by=job.cast.designer, project=job.project)


def places(job):
    return {one.artwork_id: (one.wall_id, one.left_mm) for one in Placement.objects.filter(revision=job.revision)}


def test_asking_twice_gives_one_run(job):
    run = ask(job)
    assert run.state == "queued"
    assert ask(job) == run


def test_coordinators_do_not_ask(job):
    with pytest.raises(NotAllowed):
        proposals.proposal_request(by=job.cast.coordinator, project=job.project)


def test_working_stores_what_the_engine_proposes(job, engine):
    engine.unplaced = [Unplaced(job.works[0].code, "Nothing fits.")]
    run = proposals.proposal_work(run_id=ask(job).pk)
    assert (run.state, run.progress, run.lease_owner) == ("ready", 1.0, "")
    assert {one["wall"]: [piece["artwork"] for piece in one["pieces"]] for one in run.result["walls"]} == {
        job.walls[0].pk: [job.works[1].pk],
        job.walls[1].pk: [job.works[0].pk],
    }
    assert run.result["unplaced"] == [{"artwork": job.works[0].pk, "why": "Nothing fits."}]
    assert places(job)[job.works[0].pk] == (job.walls[0].pk, 1500.0)


def test_a_run_is_worked_once(job):
    run = ask(job)
    assert proposals.PROPOSALS.claim(run.pk)
    assert proposals.proposal_work(run_id=run.pk) is None


def test_what_the_engine_refuses_is_told_in_our_words(job, monkeypatch):
    def refuse(**given):
        raise InvalidHouse("wall 'w7' has no length")

    monkeypatch.setattr(proposals, "propose_for", refuse)
    run = proposals.proposal_work(run_id=ask(job).pk)
    assert (run.state, run.attempts, run.error) == ("failed", 1, proposals.CONTRADICTORY)


def test_cancelling_while_it_works_stops_the_worker(job, monkeypatch):
    run = ask(job)
    real = reading.propose_for

    def cancelled_meanwhile(*, run, progress):
        proposals.proposal_cancel(by=job.cast.designer, run=run)
        return real(run=run, progress=progress)

    monkeypatch.setattr(proposals, "propose_for", cancelled_meanwhile)
    assert proposals.proposal_work(run_id=run.pk) is None
    run.refresh_from_db()
    assert (run.state, run.result) == ("cancelled", None)
    with pytest.raises(WrongState):
        proposals.proposal_cancel(by=job.cast.designer, run=run)


def test_accepting_hangs_the_whole_proposal(job):
    run = proposals.proposal_work(run_id=ask(job).pk)
    accepted = proposals.proposal_accept(by=job.cast.designer, run=run)
    assert set(accepted.taken) == {wall.pk for wall in job.walls}
    assert places(job) == {job.works[0].pk: (job.walls[1].pk, 1800.225), job.works[1].pk: (job.walls[0].pk, 1900.2375)}
    assert "suits" in Placement.objects.first().why


def test_accepting_one_wall_leaves_the_others(job):
    run = proposals.proposal_work(run_id=ask(job).pk)
    proposals.proposal_accept(by=job.cast.designer, run=run, walls=[job.walls[0].pk])
    assert places(job) == {job.works[1].pk: (job.walls[0].pk, 1900.2375)}
    with pytest.raises(Invalid):
        proposals.proposal_accept(by=job.cast.designer, run=run, walls=[999])


def test_walls_then_can_be_accepted_one_after_another(job):
    run = proposals.proposal_work(run_id=ask(job).pk)
    proposals.proposal_accept(by=job.cast.designer, run=run, walls=[job.walls[0].pk])
    run.refresh_from_db()
    assert proposals.proposal_accept(by=job.cast.designer, run=run, walls=[job.walls[1].pk]).changed_since == ()
    assert len(places(job)) == 2


def test_a_wall_edited_meanwhile_is_left_alone_and_named(job):
    run = proposals.proposal_work(run_id=ask(job).pk)
    job.move(0, 1600.0)
    accepted = proposals.proposal_accept(by=job.cast.designer, run=run)
    assert accepted.changed_since == (job.walls[0].pk,)
    accepted = proposals.proposal_accept(by=job.cast.designer, run=run, even_changed=True)
    assert accepted.changed_since == ()


def test_a_fixed_piece_stays_exactly_where_it_is(job):
    moves.placement_lock(edit=Edit(job.cast.designer), **taken_up(job.placement(0)), locked=True)
    run = proposals.proposal_work(run_id=ask(job).pk)
    proposals.proposal_accept(by=job.cast.designer, run=run)
    assert places(job)[job.works[0].pk] == (job.walls[0].pk, 1500.0)


def test_nothing_can_be_accepted_of_a_run_that_failed(job):
    run = ask(job)
    with pytest.raises(WrongState):
        proposals.proposal_accept(by=job.cast.designer, run=run)
