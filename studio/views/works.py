"""The art: looking for it, one piece's page, adding and changing, many at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from studio import access
from studio.access import SignedRequest
from studio.crops import CORNERS, Crop
from studio.filters import ArtworkFilter
from studio.forms import FRAMES, ArtworkForm, BulkForm, ChosenWorks, PictureForm, attempt, given
from studio.models import Artwork
from studio.reader import units_for
from studio.services import art, pictures

PAGE = 60
#: How large a piece is drawn in the grid: all to one scale.
PX_PER_MM = 0.13
WIDEST_PX = 330.0
LEAST_PX = 10
WIDEST_FRAME_PX = 10
WIDEST_MAT_PX = 16


@dataclass(frozen=True, slots=True)
class Shown:
    """A piece on the shelf, to scale [px]: what its frame and mat leave to see, and those two."""

    work: Artwork
    width: int
    height: int
    frame: int
    mat: int
    smaller: bool


@login_required
@require_GET
def works(request: SignedRequest) -> HttpResponse:
    """The studio's art as a shelf drawn to one scale, or as a table."""
    studio = access.acting_studio(request)
    units = units_for(request.user, studio)
    found = ArtworkFilter(
        request.GET,
        queryset=Artwork.objects.filter(studio=studio).select_related("client", "project", "hung_wall"),
        request=request,
        units=units,
    )
    page = Paginator(found.qs, PAGE).get_page(request.GET.get("page"))
    context = {
        "here": "works",
        "filter": found,
        "page": page,
        "shelf": shelf(page.object_list),
        "as_table": request.GET.get("as") == "table",
        "asked": any(value for name, value in request.GET.items() if name not in ("as", "page")),
        "units": units,
    }
    return render(request, "studio/works.html", context)


@login_required
@require_GET
def work(request: SignedRequest, pk: int) -> HttpResponse:
    """A piece: what it is, how it hangs, where it is planned, what was changed."""
    piece = access.get(
        request.user, Artwork.objects.select_related("client", "project", "hung_wall__room__project"), pk
    )
    context = {
        "here": "works",
        "work": piece,
        "units": units_for(request.user, piece.client, piece.studio),
        "set": Artwork.objects.filter(studio=piece.studio, set_name=piece.set_name).exclude(pk=pk)[:12]
        if piece.set_name
        else (),
        "planned": piece.placements.select_related("wall__room__project", "revision").order_by("-revision__number")[:6],
        "history": piece.history.select_related("history_user")[:8],
        "may_delete": access.role_in(user=request.user, studio=piece.studio) in access.DESIGN,
    }
    return render(request, "studio/work.html", context)


@login_required
@require_http_methods(["GET", "POST"])
def work_new(request: SignedRequest) -> HttpResponse:
    studio = access.acting_studio(request)
    form = ArtworkForm(
        request.POST or None,
        studio=studio,
        units=units_for(request.user, studio),
        initial={"form": "painting", "light": "moderate", "client": request.GET.get("client")},
    )
    if request.method == "POST" and form.is_valid():
        made = attempt(form, lambda: art.artwork_create(by=request.user, studio=studio, **form.changes()))
        if made is not None:
            messages.success(request, f"“{made}” is in the inventory. Now give it a picture.")
            return redirect("work_picture_edit", made.pk)
    return _form(request, form, "A new piece")


@login_required
@require_http_methods(["GET", "POST"])
def work_edit(request: SignedRequest, pk: int) -> HttpResponse:
    piece = access.get(request.user, Artwork.objects.select_related("client", "studio"), pk)
    form = ArtworkForm(
        request.POST or None,
        studio=piece.studio,
        units=units_for(request.user, piece.client, piece.studio),
        initial={**art.artwork_state(piece)},
    )
    if request.method == "POST" and form.is_valid():
        changes = form.changes()
        changed = attempt(
            form,
            lambda: art.artwork_update(
                by=request.user,
                artwork=piece,
                version=form.cleaned_data["version"] or piece.version,
                **{name: value for name, value in changes.items() if name in form.changed_data},
            ),
        )
        if changed is not None:
            messages.success(request, f"“{changed}” is changed.")
            return redirect("work", pk)
    return _form(request, form, f"Change “{piece}”", piece)


def _form(request: SignedRequest, form: ArtworkForm, heading: str, piece: Artwork | None = None) -> HttpResponse:
    context = {"here": "works", "form": form, "heading": heading, "work": piece, "frames": FRAMES}
    return render(request, "studio/work_edit.html", context, status=422 if form.errors else 200)


@login_required
@require_http_methods(["GET", "POST"])
def work_picture_edit(request: SignedRequest, pk: int) -> HttpResponse:
    """Give a piece its picture, or cut the one it has anew from its photograph."""
    piece = access.get(request.user, Artwork.objects.select_related("client__studio", "studio"), pk)
    form = PictureForm(request.POST or None, request.FILES or None, initial=PictureForm.initial_of(Crop.of(piece.crop)))
    taken = None
    if request.method == "POST" and form.is_valid():
        taken = attempt(form, lambda: _take_picture(request, piece, form))
    if taken is not None:
        if request.POST.get("next") == "corners":
            messages.success(request, "The photograph is saved. Now mark the piece’s corners in it.")
            return redirect("work_picture_edit", pk)
        messages.success(request, f"“{piece}” has its picture.")
        return redirect("work", pk)
    context = {
        "here": "works",
        "form": form,
        "work": piece,
        "units": units_for(request.user, piece.client, piece.studio),
        "proportion": pictures.proportion_of(piece),
        "kept_mm": pictures.sight_of(piece),
        "corner_fields": [(form[f"{name}_across"], form[f"{name}_down"]) for name in CORNERS],
    }
    return render(request, "studio/work_picture.html", context, status=422 if form.errors else 200)


def _take_picture(request: SignedRequest, piece: Artwork, form: PictureForm) -> Artwork:
    crop, upload = form.crop(), form.cleaned_data["picture"]
    if upload is None:
        return pictures.picture_crop(by=request.user, artwork=piece, crop=crop)
    if crop == Crop.of(piece.crop):
        crop = Crop()  # the numbers are the former photograph's
    content = upload.read(pictures.MAX_BYTES + 1)
    return pictures.picture_upload(by=request.user, artwork=piece, content=content, crop=crop)


@login_required
@require_POST
def work_picture_remove(request: SignedRequest, pk: int) -> HttpResponse:
    piece = access.get(request.user, Artwork, pk)
    pictures.picture_remove(by=request.user, artwork=piece)
    return redirect("work", pk)


@login_required
@require_POST
def work_delete(request: SignedRequest, pk: int) -> HttpResponse:
    piece = access.get(request.user, Artwork, pk, roles=access.DESIGN, to="delete art")
    art.artwork_delete(by=request.user, artwork=piece)
    messages.success(request, f"“{piece}” is deleted.")
    return redirect("works")


@login_required
@require_POST
def works_bulk(request: SignedRequest) -> HttpResponse:
    """The same change to the pieces that were ticked: first the form, then the change."""
    studio = access.acting_studio(request)
    pks = given(ChosenWorks(request.POST))["work"]
    chosen = Artwork.objects.filter(studio=studio, pk__in=pks)
    if not chosen:
        messages.warning(request, "Tick the pieces to change first.")
        return redirect("works")
    form = BulkForm(request.POST if "change" in request.POST else None, studio=studio)
    if form.is_bound and form.is_valid():
        changed = attempt(form, lambda: art.artworks_update(by=request.user, studio=studio, pks=pks, **form.changes()))
        if changed:
            messages.success(request, f"{counted(changed)} changed.")
            return redirect("works")
    context = {"here": "works", "form": form, "chosen": chosen, "frames": FRAMES}
    return render(request, "studio/works_bulk.html", context, status=422 if form.errors else 200)


def counted(number: int) -> str:
    return "1 piece is" if number == 1 else f"{number} pieces are"


def shelf(found: Iterable[Artwork]) -> list[Shown]:
    """The pieces to one scale; one that is too wide for a phone is drawn smaller, and says so."""
    shown = []
    for piece in found:
        scale = min(PX_PER_MM, WIDEST_PX / max(piece.width_mm, piece.height_mm))
        frame = min(max(round((piece.frame_width_mm or 0) * scale), 1 if piece.frame == "none" else 2), WIDEST_FRAME_PX)
        mat = min(round((piece.mat_width_mm or 0) * scale), WIDEST_MAT_PX)
        width, height = (
            max(round(mm * scale) - 2 * (frame + mat), LEAST_PX) for mm in (piece.width_mm, piece.height_mm)
        )
        shown.append(Shown(piece, width, height, frame, mat, scale < PX_PER_MM))
    return shown


def selected(request: SignedRequest) -> Any:
    """The pieces that an export takes: those that were looked for."""
    studio = access.acting_studio(request)
    rows = Artwork.objects.filter(studio=studio).select_related("client", "project", "hung_wall__room")
    return ArtworkFilter(request.GET, queryset=rows, request=request, units=units_for(request.user, studio)).qs
