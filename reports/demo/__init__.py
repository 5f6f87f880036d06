"""Fills an empty site with the demonstration: a studio, its people, and three projects at three stages."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from allauth.account.models import EmailAddress
from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.crypto import salted_hmac

from placements.models import Revision, Verdict
from placements.selectors.decisions import live_findings, unsettled
from placements.selectors.walls import WallInHand
from placements.services.moves import placement_move
from placements.services.plans import revision_open
from placements.services.proposals import proposal_accept, proposal_request, proposal_work
from placements.services.review import finding_decide, review_questions, review_submit
from placements.services.signoff import sign_off
from placements.services.surveys import survey_load
from placements.services.walls import Edit
from placements.survey import Survey, read_survey
from reports.access import link_address
from reports.models import JobLink
from reports.services.jobs import job_issue
from studio.demo import works
from studio.models import Membership, Project, Role, Studio, User, Wall
from studio.tokens import token_hash

from . import photographs

STUDIO = "sallow-street"


@dataclass(frozen=True, slots=True)
class ByHand:
    """A piece that the designer moved from where the engine proposed it, and why."""

    wall: str
    work: str
    up_mm: float
    why: str


#: By the name of the survey: what the principal is asked about.
BY_HAND: Mapping[str, Sequence[ByHand]] = {
    "marlow-house": (
        ByHand("sitting-chimney", "plaster-waves", 152.4, "Their tall candlesticks stay on the mantel."),
        ByHand("bedroom-bed", "harbour-five", -101.6, "The headboard goes in spring; the next one is higher."),
        ByHand("bedroom-dresser", "headland", 127.0, "Her perfume bottles stand on the dresser: they need the room."),
    ),
    "fennimore-hall": (
        ByHand("reading-sofa", "plum-dusk", 101.6, "Members' heads lean on the wall here."),
        ByHand("reading-piano", "carved-screen", 152.4, "The lid stands open on club evenings."),
    ),
}

#: What a designer says for breaking a rule otherwise, by the rule.
REASONS = {
    "two-thirds": "The clients chose this piece for its subject; a wider frame is on order.",
    "eye-line": "They sit here: the centre is set for seated eyes.",
    "shape": "Seen down the passage, its upright shape closes the view.",
    "fill": "The wall should stay quiet; one small piece is enough.",
    "light": "Linen shades go up before it hangs.",
    "clearance": "Room for the lamp that stands below.",
}
REASON = "Agreed with the clients on site."


@dataclass(frozen=True, slots=True)
class Person:
    role: Role
    name: str
    email: str
    password: str


DESIGNER = Person(Role.DESIGNER, "Noor Castellane", "designer@sallow.example", "pencil-tape-and-level")
PRINCIPAL = Person(Role.PRINCIPAL, "Edda Sallow", "principal@sallow.example", "gilt-frames-and-linen")
COORDINATOR = Person(Role.COORDINATOR, "Pim Okafor-Lund", "coordinator@sallow.example", "ladders-hooks-and-vans")
PEOPLE = (DESIGNER, PRINCIPAL, COORDINATOR)


def fill() -> Studio:
    """Make what is not there yet; what is there stays as people have changed it."""
    studio, _ = Studio.objects.get_or_create(slug=STUDIO, defaults={"name": "Sallow Street Studio"})
    cast = {person.role: _user(studio, person) for person in PEOPLE}
    surveys = {name: read_survey(works.SURVEYS / f"{name}.json") for name in PROJECTS}
    missing = {name: survey for name, survey in surveys.items() if _find(studio, survey) is None}
    pictures = _paint(missing)
    for name, survey in missing.items():
        survey_load(survey=survey, studio=studio, by=cast[Role.DESIGNER], pictures=pictures[name])
    for name, carry_on in PROJECTS.items():
        project = _find(studio, surveys[name])
        if project is not None and not Revision.objects.filter(plan__project=project).exists():
            carry_on(project, cast, BY_HAND.get(name, ()))
            photographs.add(name, project, cast)
    return studio


def hanger_address() -> str | None:
    """The address of the hanger's phone page, for as long as its job is there."""
    link = JobLink.objects.filter(token_sha256=token_hash(_token())).first()
    if link is None or link.revoked_at is not None:
        return None
    if link.expires_at < timezone.now():
        link.expires_at = timezone.now() + timedelta(days=settings.JOB_LINK_DAYS)
        link.save(update_fields=["expires_at", "updated_at"])
    return link_address(_token())


def _token() -> str:
    """The demonstration's link can be printed again: it is made from this site's own secret."""
    return salted_hmac("reports.demo", "the hanger's link", algorithm="sha256").hexdigest()


def _begin(project: Project, cast: dict[Role, User], by_hand: Sequence[ByHand]) -> Revision:
    """A draft as the engine proposes it, and as the designer then changed it."""
    run = proposal_request(by=cast[Role.DESIGNER], project=project)
    worked = proposal_work(run_id=run.pk)
    if worked is None:  # a worker that was running already took it
        return revision_open(by=cast[Role.DESIGNER], project=project)
    proposal_accept(by=cast[Role.DESIGNER], run=worked)
    revision = revision_open(by=cast[Role.DESIGNER], project=project)
    for change in by_hand:
        placement = revision.placements.filter(wall__code=change.wall, artwork__code=change.work).first()
        if placement is not None:
            placement_move(
                edit=Edit(cast[Role.DESIGNER]),
                hand=WallInHand(project, placement.wall, revision),
                placement=placement,
                left_mm=placement.left_mm,
                bottom_mm=placement.bottom_mm + change.up_mm,
            )
    return revision


def _send(project: Project, cast: dict[Role, User], by_hand: Sequence[ByHand]) -> Revision:
    """A plan that waits for the principal, with a reason for every exception."""
    revision = _begin(project, cast, by_hand)
    walls = dict(Wall.objects.filter(room__project=project).values_list("code", "pk"))
    whys = {walls[change.wall]: change.why for change in by_hand}
    asked = [question.found for question in review_questions(revision=revision) if question.must_answer]
    reasons = {finding.key: whys.get(finding.wall) or REASONS.get(finding.finding.rule, REASON) for finding in asked}
    note = "The clients are fond of the sitting room as it is; I moved as little as I could."
    return review_submit(by=cast[Role.DESIGNER], revision=revision, justifications=reasons, note=note)


def _issue(project: Project, cast: dict[Role, User], by_hand: Sequence[ByHand]) -> None:
    """A plan that was reviewed, signed and issued to a hanger."""
    revision = _send(project, cast, by_hand)
    for finding in unsettled(live_findings(revision)):
        if finding.level == "exception":
            finding_decide(by=cast[Role.PRINCIPAL], finding=finding, verdict=Verdict.ACCEPT, reason="Agreed on site.")
    if unsettled(live_findings(revision)):
        return  # a stop stays for the visitor to mend
    sign_off(by=cast[Role.PRINCIPAL], revision=revision, statement="Agreed with the house manager.")
    issued = job_issue(
        by=cast[Role.COORDINATOR],
        revision=Revision.objects.get(pk=revision.pk),
        hanger_name="Bram Tolliver",
        note="The corridor is in use from eight: start there. Tall ladder in the boot room.",
    )
    issued.link.token_sha256 = token_hash(_token())
    issued.link.save(update_fields=["token_sha256", "updated_at"])


@transaction.atomic
def _user(studio: Studio, person: Person) -> User:
    user = User.objects.filter(email=person.email).first()
    if user is None:
        user = User.objects.create_user(person.email, person.password, name=person.name)
        EmailAddress.objects.create(user=user, email=person.email, primary=True, verified=True)
    Membership.objects.get_or_create(studio=studio, user=user, defaults={"role": person.role})
    return user


def _find(studio: Studio, survey: Survey) -> Project | None:
    return Project.objects.filter(client__studio=studio, client__name=survey.client, name=survey.project).first()


def _paint(surveys: Mapping[str, Survey]) -> dict[str, dict[str, bytes]]:
    """Survey name -> path of a picture -> its JPEG file."""
    orders, paths = [], []
    for name, survey in surveys.items():
        for work in survey.house.works:
            extra = survey.extras[work.id]
            border_mm = (extra.frame_width or 0) + (extra.mat or 0)
            orders.append(works.Order(name, work.id, work.width, work.height, border_mm))
            paths.append((name, extra.picture))
    pictures: dict[str, dict[str, bytes]] = {name: {} for name in surveys}
    for (name, path), jpeg in zip(paths, works.pictures(orders) if orders else [], strict=True):
        pictures[name][path] = jpeg
    return pictures


#: The surveys in the order in which they are loaded, and how far each project goes.
PROJECTS: Mapping[str, Callable[[Project, dict[Role, User], Sequence[ByHand]], object]] = {
    "marlow-house": _send,
    "marlow-boathouse": _begin,
    "fennimore-hall": _issue,
}
