"""The office's page of the client's links: make them, withdraw them, choose what they show, read what was said."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from placements import access
from placements.forms.talk import ClientPhotosForm, LinkForm
from placements.models import ClientAnswer, ClientLink
from placements.selectors import clients as select
from placements.selectors.projects import projects_of
from placements.services import client_links as services
from placements.services.photos.client import client_photo_choose
from studio.access import SignedRequest
from studio.errors import Invalid
from studio.forms import given


@login_required
@require_http_methods(["GET", "POST"])
def client_links(request: SignedRequest, pk: int) -> HttpResponse:
    """The links of a project: make one, see which are in use, withdraw one."""
    project = access.get(request.user, projects_of(request.user), pk)
    fault, made = None, ""
    if request.method == "POST":
        try:
            asked = given(LinkForm(request.POST))
            _, token = services.client_link_create(
                by=request.user,
                project=project,
                rooms=list(project.rooms.filter(pk__in=asked["rooms"])),
                label=asked["label"],
                days=asked["days"],
            )
            made = request.build_absolute_uri(reverse("client_view", args=[token]))
        except Invalid as error:
            fault = error
    answers = select.answers_by_wall(ClientAnswer.objects.filter(link__project=project).select_related("wall", "link"))
    return render(
        request,
        "placements/client_links.html",
        {
            "here": "projects",
            "project": project,
            "rooms": project.rooms.order_by("position", "pk"),
            "links": select.links_of(project),
            "made": made,
            "fault": fault,
            "typed": request.POST,
            "composites": select.composites_now(project),
            "answers": sorted(answers.values(), key=lambda answer: answer.created_at, reverse=True),
        },
        status=422 if fault else 200,
    )


@login_required
@require_POST
def client_link_revoke(request: SignedRequest, pk: int) -> HttpResponse:
    link = access.get(request.user, ClientLink.objects.select_related("project__client__studio"), pk)
    services.client_link_revoke(by=request.user, link=link)
    return redirect("client_links", link.project_id)


@login_required
@require_POST
def client_photos(request: SignedRequest, pk: int) -> HttpResponse:
    """Which photograph of each wall the client sees."""
    project = access.get(request.user, projects_of(request.user), pk)
    shown = select.composites_now(project)
    chosen = given(ClientPhotosForm(request.POST, walls=[composites.wall.pk for composites in shown]))
    for composites in shown:
        asked = chosen[f"wall-{composites.wall.pk}"]
        choice = next((found.photo for found in composites.found if str(found.photo.pk) == asked), None)
        if choice is not None or asked in ("newest", "none"):
            client_photo_choose(by=request.user, wall=composites.wall, choice=choice or asked)
    messages.success(request, "The client’s view shows the photographs as you chose.")
    return redirect("client_links", pk)
