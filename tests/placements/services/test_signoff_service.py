import hashlib
import json
import struct
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import OperationalError, connection, transaction
from django.test.utils import CaptureQueriesContext
from rfc8785 import dumps

from placements import engine as engine_package
from placements import snapshots
from placements.differences import difference
from placements.engine import VERSION
from placements.models import Notice, Revision, SignOff
from placements.selectors import assessments
from placements.services import lifecycle, moves, plans, review, signoff
from placements.services.walls import Edit
from placements.snapshots import BrokenRecord, signed, verify
from studio.errors import Invalid, NotAllowed, WrongState
from studio.models import Artwork, Wall, WallItem
from studio.units import Units
from tests.placements.hands import in_hand

pytestmark = pytest.mark.django_db


def accept_all(job):
    for finding in job.findings():
        review.finding_decide(by=job.cast.principal, finding=finding, verdict="accept")


def sign(job):
    job.send()
    accept_all(job)
    signoff.sign_off(by=job.cast.principal, revision=job.revision, statement="Hang it.")
    job.revision = Revision.objects.get(pk=job.revision.pk)
    return job.revision


def test_signing_takes_the_same_queries_however_much_was_decided(make_job):
    counts = []
    for lefts in ((600.0,), (600.0, 700.0, 800.0, 900.0)):
        job = make_job(*lefts)
        job.send()
        accept_all(job)
        with CaptureQueriesContext(connection) as queries:
            signoff.sign_off(by=job.cast.principal, revision=job.revision)
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 28


def test_only_a_principal_signs(make_job):
    job = make_job(1500.0)
    job.send()
    with pytest.raises(NotAllowed):
        signoff.sign_off(by=job.cast.designer, revision=job.revision)


def test_an_undecided_exception_is_in_the_way_and_named(make_job):
    job = make_job(600.0)
    job.send()
    with pytest.raises(WrongState) as refused:
        signoff.sign_off(by=job.cast.principal, revision=job.revision)
    assert refused.value.faults[0]["where"] == "Wall 1"
    assert "Not decided" in refused.value.faults[0]["detail"]


def test_the_words_of_a_signature_are_in_its_record_and_cannot_be_altered_beside_it(make_job):
    job = make_job(1500.0)
    revision = sign(job)
    words = json.loads(revision.snapshot)["signed"]
    assert (words["statement"], words["email"]) == ("Hang it.", job.cast.principal.email)
    assert verify(revision).holds
    for column, value, said in (
        ("statement", "Hang it all.", "statement"),
        ("name", "Someone Else", "signer's name"),
    ):
        row = SignOff.objects.filter(revision=revision)
        before = row.values_list(column, flat=True).get()
        row.update(**{column: value})
        assert said in verify(Revision.objects.get(pk=revision.pk)).faults[0]
        row.update(**{column: before})
    Revision.objects.filter(pk=revision.pk).update(rules_fingerprint="0" * 64)
    assert "fingerprint of the rules" in verify(Revision.objects.get(pk=revision.pk)).faults[0]


def test_a_record_of_the_first_version_holds_without_its_statement(make_job):
    job = make_job(1500.0)
    revision = sign(job)
    document = json.loads(revision.snapshot)
    document["version"] = 1
    del document["signed"]["statement"], document["signed"]["email"]
    revision.snapshot = dumps(document).decode()
    revision.sha256 = revision.sign_off.sha256 = snapshots.sha256_of(revision.snapshot)
    assert verify(revision).holds


def test_signing_freezes_a_record_and_tells_designer_and_coordinator(make_job):
    job = make_job(600.0, 1500.0)
    revision = sign(job)
    record = signed(revision)
    assert revision.state == "signed"
    assert revision.sha256 == hashlib.sha256(revision.snapshot.encode()).hexdigest()
    assert SignOff.objects.get().sha256 == revision.sha256
    assert [hanging.left for hanging in record.hangings] == [600.0, 1500.0]
    assert record.house.wall_by_id[job.walls[0].code].length == job.walls[0].length_mm
    assert record.findings[0]["decision"]["by"] == job.cast.principal.name
    assert record.findings[0]["justification"] == "The client wants it there."
    assert record.engine["version"] == engine_package.VERSION
    assert record.signed_by == job.cast.principal.name
    for person in (job.cast.designer, job.cast.coordinator):
        assert Notice.objects.filter(user=person, text__contains="signed revision 1").exists()


def test_the_record_is_canonical_json(make_job):
    """RFC 8785: parsing the text and writing it canonically again gives the same bytes."""
    text = sign(make_job(1500.0)).snapshot
    assert dumps(json.loads(text)).decode() == text


@pytest.mark.parametrize(
    ("bits", "expected"),
    [
        ("0000000000000000", "0"),
        ("8000000000000000", "0"),
        ("4340000000000000", "9007199254740992"),
        ("4430000000000000", "295147905179352830000"),
        ("44b52d02c7e14af5", "9.999999999999997e+22"),
        ("444b1ae4d6e2ef50", "1e+21"),
        ("3eb0c6f7a0b5ed8d", "0.000001"),
        ("41b3de4355555555", "333333333.3333333"),
        ("becbf647612f3696", "-0.0000033333333333333333"),
    ],
)
def test_numbers_are_written_as_the_standard_says(bits, expected):
    """RFC 8785, appendix B, table 1 (values from memory)."""
    number = struct.unpack(">d", bytes.fromhex(bits))[0]
    assert dumps(number).decode() == expected


def test_a_record_verifies_after_the_engine_changed(make_job, monkeypatch):
    revision = sign(make_job(600.0))
    before = revision.snapshot.encode()
    monkeypatch.setattr(engine_package, "VERSION", "9.0.0")
    monkeypatch.setattr(snapshots, "ENGINE_VERSION", "9.0.0")
    monkeypatch.setattr(snapshots, "write_survey", None)
    monkeypatch.setattr(snapshots, "Rulebook", None)
    monkeypatch.setattr(assessments, "assess_wall", None)
    monkeypatch.setattr("placements.selectors.assessments.assess_wall", None)
    again = Revision.objects.get(pk=revision.pk)
    assert verify(again).holds
    assert again.snapshot.encode() == before
    assert signed(again).engine["version"] == VERSION


def test_a_changed_record_is_found_out(make_job):
    revision = sign(make_job(600.0))
    Revision.objects.filter(pk=revision.pk).update(snapshot=revision.snapshot.replace("600", "601"))
    changed = Revision.objects.get(pk=revision.pk)
    assert not verify(changed).holds
    with pytest.raises(BrokenRecord, match="changed after it was signed"):
        signed(changed)


def test_rows_that_no_longer_say_what_was_signed_are_found_out(make_job):
    job = make_job(600.0)
    revision = sign(job)
    revision.placements.update(left_mm=601.0)
    assert "rows" in verify(Revision.objects.get(pk=revision.pk)).faults[0]


def test_a_hash_rewritten_with_the_record_still_lacks_the_signature(make_job):
    revision = sign(make_job(600.0))
    forged = revision.snapshot.replace("600", "601")
    Revision.objects.filter(pk=revision.pk).update(snapshot=forged, sha256=snapshots.sha256_of(forged))
    assert "another record" in verify(Revision.objects.get(pk=revision.pk)).faults[0]


def test_what_the_last_look_brings_up_refuses_the_signature_and_stays_stored(make_job, engine):
    job = make_job(1500.0)
    job.send()
    engine.low = 2600.0
    with pytest.raises(WrongState, match="must be settled first"):
        signoff.sign_off(by=job.cast.principal, revision=job.revision)
    assert [finding.measured for finding in job.findings()] == [2500.0]
    accept_all(job)
    assert signoff.sign_off(by=job.cast.principal, revision=job.revision).pk


def test_the_record_keeps_the_survey_as_it_was(make_job):
    job = make_job(1500.0)
    WallItem.objects.create(
        wall=job.walls[0], code="sofa", kind="sofa", left_mm=900.0, bottom_mm=0, width_mm=2000.0, height_mm=850.0
    )
    revision = sign(job)
    WallItem.objects.all().delete()
    (item,) = signed(revision).house.wall_by_id[job.walls[0].code].items
    assert (item.kind, item.left) == ("sofa", 900.0)


def test_the_way_to_closed_and_back(make_job):
    job = make_job(1500.0)
    revision = sign(job)
    cast = job.cast

    def step(by, name, note=""):
        return lifecycle.revision_step(by=by, revision=revision, name=name, note=note)

    with pytest.raises(NotAllowed):
        step(cast.designer, "issue")
    with pytest.raises(WrongState):
        step(cast.coordinator, "close")
    step(cast.coordinator, "issue")
    with pytest.raises(Invalid, match="say why"):
        step(cast.coordinator, "recall")
    step(cast.coordinator, "recall", "The lift is broken.")
    step(cast.coordinator, "issue")
    step(None, "hung")
    step(cast.coordinator, "close")
    step(cast.principal, "reopen", "One piece fell.")
    assert list(revision.transitions.values_list("to_state", flat=True)) == [
        "draft", "in_review", "signed", "issued", "signed", "issued", "hung", "closed", "hung",
    ]  # fmt: skip


def test_an_older_revision_is_not_issued_once_a_newer_is_signed(make_job):
    job = make_job(1500.0)
    first = sign(job)
    job.revision = plans.revision_open(by=job.cast.designer, project=job.project)
    job.move(0, 1600.0)
    sign(job)
    with pytest.raises(WrongState, match="Revision 2"):
        lifecycle.revision_step(by=job.cast.coordinator, revision=first, name="issue")


def test_the_difference_says_what_moved_and_by_how_much(make_job):
    job = make_job(1500.0, 1500.0, 1500.0)
    first = sign(job)
    second = job.revision = plans.revision_open(by=job.cast.designer, project=job.project)
    job.move(0, 1500.0 + 2 * 25.4)
    moves.placement_place(
        edit=Edit(job.cast.designer),
        hand=in_hand(second, job.walls[2]),
        artwork=job.works[1],
        left_mm=2500.0,
        bottom_mm=1200.0,
    )
    moves.wall_leave_bare(edit=Edit(job.cast.designer), hand=in_hand(second, job.walls[1]), reason="Quiet.")
    changed = difference(first, second)
    assert changed.changed_walls == {wall.pk for wall in job.walls}
    said = [change.text(Units("in")) for wall in changed.walls for change in wall.changes]
    assert said == [
        f"{job.works[0]} moves 2″ right.",
        f"{job.works[1]} goes to Wall 3.",
        f"{job.works[1]} comes here from Wall 2.",
    ]
    assert changed.walls[1].bares[0].text == "The wall is now left bare: Quiet."


def test_a_difference_takes_the_same_queries_for_any_plan(make_job, django_assert_num_queries):
    for count in (2, 6):
        job = make_job(*[1500.0] * count)
        first = sign(job)
        job.revision = plans.revision_open(by=job.cast.designer, project=job.project)
        for index in range(count):
            job.move(index, 1600.0)
        with django_assert_num_queries(5):
            assert len(difference(first, job.revision).walls) == count


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("held", [Wall, Artwork])
def test_the_survey_stands_still_while_a_plan_is_signed(make_job, monkeypatch, held):
    """Who would change a wall or a work of the plan waits: nothing slips between the last look and the signature."""
    if connection.vendor != "postgresql":
        pytest.skip("only PostgreSQL locks rows")
    job = make_job(1500.0)
    job.send()
    rows = {Wall: job.walls[0], Artwork: job.works[0]}
    tried = []

    def change_meanwhile():
        try:
            with transaction.atomic():
                held.objects.select_for_update(nowait=True).get(pk=rows[held].pk)
        except OperationalError as refused:
            return refused
        finally:
            connection.close()

    def sign_while_another_tries(*args):
        with ThreadPoolExecutor(1) as other:
            tried.append(other.submit(change_meanwhile).result())
        return signing(*args)

    signing = signoff._sign
    monkeypatch.setattr(signoff, "_sign", sign_while_another_tries)
    signoff.sign_off(by=job.cast.principal, revision=job.revision)
    assert "could not obtain lock" in str(tried[0])
