"""Many photographs of works at once: matched by their files' names, the rest paired by hand, each saved by itself."""

from __future__ import annotations

from django import forms
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from studio import access
from studio.access import SignedRequest
from studio.errors import Invalid
from studio.formfields import PlainText, RowNumber
from studio.forms import given
from studio.imports.photographs import MOST, match
from studio.models import Artwork
from studio.services import pictures


class NamesForm(forms.Form):
    """Names of files, a line each."""

    names = PlainText(max_length=50_000, required=False)


class PairForm(forms.Form):
    """A photograph and the piece that it shows."""

    work = RowNumber(required=True)
    picture = forms.FileField()


@login_required
@require_GET
def works_photographs(request: SignedRequest) -> HttpResponse:
    studio = access.acting_studio(request)
    works = Artwork.objects.filter(studio=studio).order_by("title", "pk").only("title", "code", "picture")
    return render(request, "studio/works_photographs.html", {"here": "works", "works": works, "most": MOST})


@login_required
@require_POST
def works_photographs_match(request: SignedRequest) -> JsonResponse:
    """Which work each file seems to show, by the file's name; files that name none, or several, are left out."""
    studio = access.acting_studio(request)
    names = given(NamesForm(request.POST))["names"].splitlines()[:MOST]
    rows = Artwork.objects.filter(studio=studio).values_list("pk", "code", "title")
    return JsonResponse({"matched": match(names, rows)})


@login_required
@require_POST
def works_photographs_save(request: SignedRequest) -> JsonResponse:
    """One photograph becomes its piece's picture."""
    form = PairForm(request.POST, request.FILES)
    pair = given(form)
    piece = access.get(request.user, Artwork.objects.select_related("studio"), pair["work"])
    content = pair["picture"].read(pictures.MAX_BYTES + 1)
    try:
        pictures.picture_upload(by=request.user, artwork=piece, content=content)
    except Invalid as refusal:
        return JsonResponse({"detail": refusal.detail}, status=422)
    return JsonResponse({"corners": reverse("work_picture_edit", args=[piece.pk])})
