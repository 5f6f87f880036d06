"""The way into an empty studio: what is there already, and where the next thing is made."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Exists
from django.urls import reverse

from placements.models import ProposalRun
from studio.models import Artwork, Client, Project, Studio, Wall


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what is done, in a sentence, and the button that leads to it; `open`: it can be done now."""

    name: str
    text: str
    button: str
    address: str
    done: bool
    open: bool = True


def first_steps(studio: Studio) -> tuple[Step, ...]:
    """Client, rooms, art, proposal; empty once all are done. The sample counts for none of them."""
    clients = Client.objects.filter(studio=studio, sample=False)
    there = (
        Studio.objects.filter(pk=studio.pk)
        .annotate(
            client=Exists(clients),
            walls=Exists(Wall.objects.filter(room__project__client__in=clients)),
            art=Exists(Artwork.objects.filter(studio=studio).exclude(client__sample=True)),
            plan=Exists(ProposalRun.objects.filter(project__client__in=clients)),
        )
        .values("client", "walls", "art", "plan")
        .get()
    )
    if all(there.values()):
        return ()
    project = Project.objects.filter(client__in=clients).order_by("-pk").first()
    client = clients.order_by("-pk").first()
    of_client = f"?client={client.pk}" if client else ""
    rooms = reverse("wall_new", args=[project.pk]) if project else reverse("project_new") + of_client
    plan = reverse("project", args=[project.pk]) if project else reverse("projects")
    return (
        Step(
            "Client",
            "Whose house it is, and in which units they read.",
            "Add a client",
            reverse("client_new"),
            there["client"],
        ),
        Step(
            "Rooms",
            "A project, then its walls: length, height, openings and furniture.",
            "Survey a wall" if project else "Start a project",
            rooms,
            there["walls"],
            bool(client),
        ),
        Step(
            "Art",
            "The client's list as they keep it, or piece by piece.",
            "Import a list",
            reverse("works_import") + of_client,
            there["art"],
        ),
        Step(
            "Proposal",
            "Where everything hangs best. Nothing changes until you accept it.",
            "Go to the project",
            plan,
            there["plan"],
            there["walls"] and there["art"],
        ),
    )
