import io
from collections import Counter

import pytest
from django.core.management import CommandError, call_command
from PIL import Image

from placements.models import Photo, PhotoPurpose, ReviewFinding, Revision
from placements.selectors.photos import uses
from reports import demo
from reports.access import link_open
from reports.models import JobLink, Report
from reports.producing import produce
from studio.demo import works
from studio.models import Artwork, Membership, Project, User
from studio.units import Units

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def quick_pictures(monkeypatch):
    def plain(orders):
        pictures = []
        for number, _ in enumerate(orders):
            out = io.BytesIO()
            Image.new("RGB", (32, 24), (number % 256, 90, 120)).save(out, "JPEG")
            pictures.append(out.getvalue())
        return pictures

    monkeypatch.setattr(works, "pictures", plain)


def test_the_demonstration_is_loaded_once_and_left_alone_after(capsys):
    call_command("seed_demo")
    printed = capsys.readouterr().out
    counts = [model.objects.count() for model in (User, Membership, Project, Artwork, Photo)]
    assert counts[:3] == [3, 3, 3]
    assert Artwork.objects.exclude(picture="").count() == counts[3] >= 60

    # One plan is a draft, one in review with a reason for every exception, one issued.
    states = dict(Revision.objects.values_list("plan__project__name", "state"))
    assert states == {"Marlow house": "in_review", "Marlow boathouse": "draft", "Fennimore Hall": "issued"}
    asked = ReviewFinding.objects.filter(revision__state="in_review", level="exception")
    assert all(finding.justification for finding in asked)
    # What the designer moved by hand is what the principal is asked about, or was.
    for name, changes in demo.BY_HAND.items():
        for change in changes:
            broken = ReviewFinding.objects.filter(wall__code=change.wall, level="exception", justification=change.why)
            assert broken.exists(), f"{name}: {change.work} where it hangs breaks no rule"
    assert not ReviewFinding.objects.filter(level="stop").exists()
    assert Report.objects.count() == 1

    # A photograph for each use, measured; what it would do next is one press away.
    photos = {photo.purpose: photo for photo in Photo.objects.all()}
    assert set(photos) == set(PhotoPurpose.values)
    assert {photo.state for photo in photos.values()} == {"ready"}
    assert photos["survey"].marks.filter(state="accepted", found=False).count() == 3
    assert photos["hung"].marks.filter(state="accepted", artwork__isnull=False).count() == 3
    assert photos["floor"].marks.filter(state="accepted", artwork__isnull=False).count() == 5
    assert [purpose for purpose, photo in photos.items() if photo.shown] == ["show"]
    units = Units("in")
    (low,) = uses.offered(photos["as_hung"], units)["differences"]
    assert low.text.startswith("raise by")
    assert low.compared.up == pytest.approx(-16, abs=low.measured.middle_error_mm)
    assert uses.offered(photos["floor"], units)["spaces"]

    # The sign-ins that it prints work.
    for person in demo.PEOPLE:
        assert person.email in printed
        assert person.password in printed
        assert User.objects.get(email=person.email).check_password(person.password)
    assert link_open(printed.split()[-1].partition("#")[2]) == JobLink.objects.get()

    # Its sheets: two or three pages of cover, and each wall with its drawing, table and cautions on one page;
    # where six pieces or more hang, the detail and the table go on to more.
    report = Report.objects.select_related("revision__plan__project__client__studio").get()
    pieces = Counter(report.revision.placements.values_list("wall", flat=True))
    for paper in ("letter", "a4"):
        report.paper = paper
        pages = produce(report).pages
        few = sum(count < 6 for count in pieces.values())
        assert 2 + few + 2 * (len(pieces) - few) <= pages <= 3 + few + 4 * (len(pieces) - few)

    # A second run changes nothing and prints the same.
    Artwork.objects.filter(code="marram").update(title="Renamed by a person")
    call_command("seed_demo")
    assert [model.objects.count() for model in (User, Membership, Project, Artwork, Photo)] == counts
    assert Artwork.objects.get(code="marram").title == "Renamed by a person"
    assert capsys.readouterr().out == printed


def test_it_refuses_in_production(settings):
    settings.PRODUCTION = True
    with pytest.raises(CommandError, match="not for production"):
        call_command("seed_demo")
    assert not User.objects.exists()
