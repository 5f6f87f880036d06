import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.engine.house import Hardware, Hung, Item, Rail, Studs
from placements.survey import ArtExtra, SurveyError, read_survey
from tests.placements.surveys import survey_document


def faults(document):
    with pytest.raises(SurveyError) as caught:
        read_survey(document)
    return [str(fault) for fault in caught.value.faults]


def changed(path, value):
    """The example with the value at `path` (keys and indices) replaced; with `...` removed."""
    document = survey_document()
    *way, last = path
    owner = document
    for step in way:
        owner = owner[step]
    if value is ...:
        del owner[last]
    else:
        owner[last] = value
    return document


def test_a_survey_is_read_into_millimetres_and_kilograms():
    survey = read_survey(survey_document())
    north, flight = (wall for _, wall in survey.house.walls())
    assert (survey.client, survey.project, survey.units) == ("Ilse Marlow", "Marlow house", "in")
    assert (north.length, north.height, north.faces_deg) == (4267.2, 2743.2, 180.0)
    assert north.studs == Studs(203.2, 406.4)
    assert north.items[0] == Item("sofa", "sofa", 1066.8, 0.0, 2133.6, 863.6, 914.4)
    assert north.items[2].acts == "service"
    assert flight.length == 4200.0
    assert flight.rail == Rail(0.0, 863.6, 2438.4, 2692.4)
    one, two, three = survey.house.works
    assert (one.width, one.height, one.depth) == (1422.4, 863.6, 38.1)
    assert one.weight_kg == 6.35029318  # 14 lb of 0.45359237 kg
    assert one.hang == Hardware("wire", below_top=228.6, inset=76.2, length=1371.6)
    assert one.hung == Hung("north", 1422.4, 1066.8)
    assert (two.width, two.height, two.weight_kg) == (1016.0, 1016.0, 5.7)
    assert (three.title, three.locked, three.set_name) == ("a3", "north:sofa", None)
    facts = {"Insured value": "4 200", "Owner": "The estate"}
    assert survey.extras == {"a1": ArtExtra(31.75, 76.2, "Rack 4", "pictures/a1.jpg", "oil on panel", facts)}
    assert survey.house.apart == (("a1", "a2"),)
    assert survey.house.latitude == 0.0
    assert survey.house.house_rules == {
        "two-thirds": {"low": 0.55, "weight": 4.0},
        "clearance": {"high": 279.4, "low": 127.0},
    }
    survey.house.validate()


@pytest.mark.parametrize(
    "as_source", [json.dumps, lambda d: json.dumps(d).encode(), lambda d: b"\xef\xbb\xbf" + json.dumps(d).encode()]
)
def test_text_and_bytes_read_alike(as_source):
    assert read_survey(as_source(survey_document())) == read_survey(survey_document())


def test_a_file_reads_alike(tmp_path):
    path = tmp_path / "survey.json"
    path.write_text(json.dumps(survey_document()))
    assert read_survey(path) == read_survey(survey_document())


WALL = ("rooms", 0, "walls", 0)
FAULTS = {
    "negative length": ((*WALL, "length"), -168, "rooms[0].walls[0].length: found -168, expected a length above zero"),
    "zero length": ((*WALL, "length"), 0, "rooms[0].walls[0].length: found 0, expected a length above zero"),
    "absurd length": (
        (*WALL, "length"),
        4000,
        "rooms[0].walls[0].length: found 4000, expected a length of at most 100 m",
    ),
    "not a number": ((*WALL, "length"), math.nan, "rooms[0].walls[0].length: found NaN, expected a length such as"),
    "infinite": ((*WALL, "length"), math.inf, "rooms[0].walls[0].length: found Infinity, expected a length such as"),
    "a word": ((*WALL, "length"), "long", 'rooms[0].walls[0].length: found "long", expected a length such as'),
    "true": ((*WALL, "length"), True, "rooms[0].walls[0].length: found true, expected a length such as"),
    "missing": ((*WALL, "length"), ..., "rooms[0].walls[0].length: found nothing, expected this key"),
    "unknown rule": (
        ("house_rules", "two-third"),
        {"low": 0.5},
        "house_rules.two-third: found the unknown key “two-third”, expected “two-thirds”",
    ),
    "unknown limit": (("house_rules", "clearance", "lo"), 5, "found the unknown key “lo”, expected “low”"),
    "limit out of range": (
        ("house_rules", "two-thirds", "low"),
        1.5,
        "house_rules.two-thirds.low: found 1.5, expected a number from 0.2 to 1 ratio",
    ),
    "length out of range": (
        ("house_rules", "clearance", "low"),
        40,
        "clearance.low: found 40, expected a length of 0–36″",
    ),
    "weight beyond a rule of care's share": (
        ("house_rules", "heat"),
        {"weight": 5},
        "house_rules.heat.weight: found 5, expected a number from 0 to 1 ratio",
    ),
    "weight of a rule that only stops": (
        ("house_rules", "fit"),
        {"weight": 1},
        "house_rules.fit.weight: found the unknown key “weight”, expected",
    ),
    "band upside down": (("house_rules", "two-thirds", "low"), 0.8, "house_rules: found limits that contradict"),
    "unknown key": (
        (*WALL, "lenght"),
        168,
        "rooms[0].walls[0].lenght: found the unknown key “lenght”, expected “length”",
    ),
    "unlike any key": (
        (*WALL, "zzz"),
        1,
        "rooms[0].walls[0].zzz: found the unknown key “zzz”, expected one of id, name",
    ),
    "unknown kind": ((*WALL, "items", 0, "kind"), "sopha", 'items[0].kind: found "sopha", expected one of sofa, bed'),
    "kind near another": ((*WALL, "items", 0, "kind"), "sconse", "(did you mean “sconce”?)"),
    "custom without acts": ((*WALL, "items", 2, "acts"), ..., "items[2].acts: found nothing, expected one of bearer"),
    "acts of a sofa": ((*WALL, "items", 0, "acts"), "bound", 'items[0].acts: found "bound", expected no such key'),
    "off the wall": (
        (*WALL, "items", 0, "left"),
        170,
        "items[0]: found “sofa” wholly off its wall, expected a left below 168 in",
    ),
    "above the wall": ((*WALL, "items", 0, "bottom"), 108, "items[0]: found “sofa” wholly off its wall"),
    "item id twice": ((*WALL, "items", 1, "id"), "sofa", "items[1].id: found “sofa” again, expected an id of its own"),
    "wall id twice": (("rooms", 1, "walls", 0, "id"), "north", "rooms[1].walls[0].id: found “north” again"),
    "room id twice": (("rooms", 1, "id"), "sitting", "rooms[1].id: found “sitting” again"),
    "art id twice": (("art", 1, "id"), "a1", "art[1].id: found “a1” again"),
    "id with a space": (("art", 1, "id"), "a 1", 'art[1].id: found "a 1", expected an id of 1 to 60 letters'),
    "unknown wall": (
        ("art", 0, "hung", "wall"),
        "nroth",
        'art[0].hung.wall: found "nroth", expected the id of a wall in this file (did you mean “north”?)',
    ),
    "hung on two walls": (
        ("art", 0, "hung"),
        [{}, {}],
        "art[0].hung: found 2 places, expected one place: a piece hangs on one wall",
    ),
    "hung off the wall": (("art", 0, "hung", "left"), 168, "art[0].hung: found “a1” wholly off wall “north”"),
    "facts in a list": (("art", 0, "facts"), ["Owner"], "art[0].facts: found a list, expected null or an object"),
    "a fact that is a number": (("art", 0, "facts", "Owner"), 7, "art[0].facts.Owner: found 7, expected a text"),
    "a heading without end": (
        ("art", 0, "facts"),
        {"x" * 81: "y"},
        "found a text of 81 characters, expected at most 80",
    ),
    "locked to nothing": (("art", 0, "locked"), "attic", 'art[0].locked: found "attic"'),
    "apart from nothing": (("apart", 0, 1), "a9", 'apart[0][1]: found "a9", expected the id of a piece'),
    "apart from itself": (("apart", 0, 1), "a1", "apart[0]: found a list, expected two different ids of art"),
    "weight as a number": (("art", 0, "weight"), 14, 'art[0].weight: found 14, expected a weight such as {"lb": 12.5}'),
    "negative weight": (("art", 0, "weight"), {"lb": -1}, "art[0].weight.lb: found -1, expected a weight above zero"),
    "two weights": (("art", 0, "weight"), {"lb": 1, "kg": 1}, "art[0].weight: found an object"),
    "unknown hardware": (("art", 0, "hang", "kind"), "rope", 'art[0].hang.kind: found "rope", expected one of wire'),
    "wire without length": (("art", 0, "hang", "length"), ..., "art[0].hang.length: found nothing"),
    "rings below the frame": (
        ("art", 0, "hang", "below_top"),
        40,
        "art[0].hang.below_top: found 40, expected less than",
    ),
    "rings beyond the frame": (
        ("art", 1, "hang", "spacing"),
        41,
        "art[1].hang.spacing: found 41, expected no more than",
    ),
    "bearing": ((*WALL, "faces"), 360, "rooms[0].walls[0].faces: found 360, expected a compass bearing"),
    "latitude": (("project", "latitude"), 91, "project.latitude: found 91, expected degrees north"),
    "time zone": (
        ("project", "time_zone"),
        "Europe/Lisboa",
        'project.time_zone: found "Europe/Lisboa", expected a time zone',
    ),
    "upright rail": (
        ("rooms", 1, "walls", 0, "rail", "to", 0),
        0,
        "rooms[1].walls[0].rail: found both ends at the same",
    ),
    "other format": (("format",), "a-survey", 'format: found "a-survey", expected “overmantel-survey”'),
    "later version": (("version",), 2, "version: found 2, expected 1"),
    "other units": (("units",), "furlong", 'units: found "furlong", expected one of in, cm, mm'),
    "rooms as an object": (("rooms",), {}, "rooms: found an object, expected a list of rooms"),
    "nameless client": (("client", "name"), " ", 'client.name: found " ", expected a name'),
    "text too long": (
        ("art", 0, "title"),
        "x" * 201,
        "art[0].title: found a text of 201 characters, expected at most 200",
    ),
    "control character": (("art", 0, "title"), "a\x00b", "art[0].title: found characters that are not text"),
    "lone surrogate": (("art", 0, "title"), "\ud800", "art[0].title: found characters that are not text"),
    "picture elsewhere": (("art", 0, "picture"), "../../secret.jpg", "art[0].picture: found"),
    "flag as a word": ((*WALL, "focal"), "yes", 'rooms[0].walls[0].focal: found "yes", expected true or false'),
}


@pytest.mark.parametrize(("path", "value", "message"), FAULTS.values(), ids=FAULTS)
def test_a_fault_is_named_with_its_place_what_was_found_and_what_is_expected(path, value, message):
    assert any(message in fault for fault in faults(changed(path, value))), faults(changed(path, value))


def test_every_fault_is_listed_in_one_go():
    document = survey_document()
    document["rooms"][0]["walls"][0]["length"] = -1
    document["rooms"][0]["walls"][0]["items"][0]["kind"] = "sopha"
    document["art"][2]["width"] = "wide"
    document["art"][0]["hung"]["wall"] = "attic"
    found = faults(document)
    assert len([fault for fault in found if "wholly off" not in fault]) == 4


def test_a_key_given_twice_is_a_fault():
    text = json.dumps(survey_document()).replace(
        '"hung": {', '"hung": {"wall": "flight", "left": 1, "bottom": 1}, "hung": {'
    )
    assert faults(text) == ["art[0].hung: found the key twice, expected one place: a piece hangs on one wall"]


@pytest.mark.parametrize(
    ("source", "message"),
    [
        ("{", "line 1, column 2: found"),
        (b"\xff\xfe", "no UTF-8"),
        ("[" * 100_000, "found lists nested too deeply"),
        ("[]", "found a list, expected an object"),
        ("1" * 5000, "thousands of digits"),
        ('{"format": 1' + "0" * 5000 + "}", "thousands of digits"),
        ("", "line 1, column 1"),
    ],
    ids=["broken", "bytes", "deep", "list", "digits", "digits inside", "empty"],
)
def test_what_is_no_survey_at_all_is_refused(source, message):
    assert message in faults(source)[0]


def test_a_missing_file_is_refused(tmp_path):
    assert "no readable file" in faults(tmp_path / "none.json")[0]


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)


@given(st.data(), json_values)
def test_any_value_anywhere_is_read_or_refused(data, value):
    document = survey_document()
    owner = document
    while True:
        key = data.draw(st.sampled_from(sorted(owner) if isinstance(owner, dict) else range(len(owner))))
        if isinstance(owner[key], dict | list) and owner[key] and data.draw(st.booleans()):
            owner = owner[key]
            continue
        owner[key] = value
        break
    try:
        survey = read_survey(document)
    except SurveyError:
        return
    survey.house.validate()
