import io
import json
import os
import subprocess
import sys

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from placements.survey import as_text
from tests.placements.surveys import survey_document


@pytest.fixture
def survey(tmp_path):
    path = tmp_path / "survey.json"
    path.write_text(as_text(survey_document()))
    return path


def run(*arguments, tmp_path, **more):
    """The command as a user runs it, with a database that nobody could reach."""
    env = os.environ | {"DATABASE_URL": "postgres://nobody:x@127.0.0.1:1/none", "VAR_DIR": str(tmp_path / "var")}
    return subprocess.run(
        [sys.executable, "manage.py", "propose", *arguments],
        cwd=settings.BASE_DIR,
        env=env,
        capture_output=True,
        text=True,
        timeout=120,
        **more,
    )


@pytest.mark.processes
def test_it_needs_no_database_and_keeps_words_and_json_apart(survey, tmp_path):
    done = run(str(survey), tmp_path=tmp_path)
    assert done.returncode == 0, done.stderr
    document = json.loads(done.stdout)
    assert document["format"] == "overmantel-proposal"
    assert "Marlow house (Ilse Marlow): 2 walls, 3 works" in done.stderr
    assert {one["space"] for one in document["plan"]} <= {space["id"] for space in document["spaces"]}


@pytest.mark.processes
def test_a_faulty_survey_exits_2_lists_every_fault_and_writes_nothing(tmp_path):
    document = survey_document()
    document["rooms"][0]["walls"][0]["length"] = -1
    document["art"][2]["width"] = "wide"
    path, out = tmp_path / "survey.json", tmp_path / "proposal.json"
    path.write_text(as_text(document))
    done = run(str(path), "--out", str(out), tmp_path=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert "rooms[0].walls[0].length: found -1, expected a length above zero" in done.stderr
    assert 'art[2].width: found "wide"' in done.stderr
    assert "Traceback" not in done.stderr
    assert not out.exists()


def propose(*arguments, **options):
    out, err = io.StringIO(), io.StringIO()
    call_command("propose", *arguments, stdout=out, stderr=err, **options)
    return out.getvalue(), err.getvalue()


def test_the_same_survey_gives_the_same_bytes_but_for_the_seconds(survey):
    first, second = (json.loads(propose(str(survey))[0]) for _ in range(2))
    for document in (first, second):
        del document["optimality"]["seconds"]
    assert as_text(first) == as_text(second)


def test_lengths_of_the_proposal_are_in_the_units_of_the_file(survey):
    document = json.loads(propose(str(survey))[0])
    assert document["units"] == "in"
    sofa = next(space for space in document["spaces"] if space["over"] == "sofa")
    # The sofa is 34 in high and 84 in long: the space begins on it, and two-thirds of it is 50.4 to 63 in.
    assert sofa["bottom"] == 34
    assert sofa["ideal"]["width"][0] == pytest.approx(0.55 * 84, abs=0.01)  # this house's own rule says 0.55


def test_a_file_is_written_on_request(survey, tmp_path):
    out = tmp_path / "proposal.json"
    printed, said = propose(str(survey), out=out)
    assert printed == ""
    assert "short of the best possible plan" in said
    assert json.loads(out.read_text())["version"] == 1


@pytest.mark.parametrize("where", ["none/proposal.json", "folder"])
def test_a_file_that_cannot_be_written_is_said_and_leaves_nothing_behind(survey, tmp_path, where):
    (tmp_path / "folder").mkdir()
    with pytest.raises(CommandError, match=r"cannot be written: .* Nothing was written"):
        propose(str(survey), out=tmp_path / where)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["folder", "survey.json"]


def test_a_missing_file_exits_2(tmp_path):
    with pytest.raises(CommandError, match="no readable file") as caught:
        propose(str(tmp_path / "none.json"))
    assert caught.value.returncode == 2
