"""A principal takes the studio's data along, or ends the studio."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from placements.services.archive import studio_archive
from studio import access
from studio.access import SignedRequest
from studio.formfields import PlainText
from studio.forms import attempt
from studio.services.departure import studio_delete
from studio.weighty import weighty


class EndForm(forms.Form):
    name = PlainText(max_length=120, label="The studio's name, typed in full")


@login_required
@weighty
@require_http_methods(["GET", "POST"])
def studio_data(request: SignedRequest) -> HttpResponse:
    """Take everything along; end the studio."""
    studio = access.acting_studio(request)
    access.require(by=request.user, studio=studio, roles=access.PRINCIPAL, to="export or end the studio")
    form = EndForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        name = form.cleaned_data["name"]
        if attempt(form, lambda: studio_delete(studio=studio, by=request.user, name=name)) is not None:
            messages.success(request, f"{name} is deleted, with everything in it.")
            if not access.visible(request.user, type(studio)).exists():
                logout(request)
            return redirect("home")
    context = {"here": "settings", "form": form, "studio_row": studio}
    return render(request, "placements/studio_data.html", context, status=422 if form.errors else 200)


@login_required
@weighty
@require_POST
def studio_export(request: SignedRequest) -> StreamingHttpResponse:
    studio = access.acting_studio(request)
    archive = studio_archive(studio=studio, by=request.user)
    response = StreamingHttpResponse(archive, content_type="application/zip")
    response["Content-Disposition"] = f'attachment; filename="{studio.slug}-{timezone.localdate():%Y-%m-%d}.zip"'
    return response
