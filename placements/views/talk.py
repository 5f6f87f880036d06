"""Comments of a project, and the inbox."""

from __future__ import annotations

import zoneinfo
from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from placements import access
from placements.forms.talk import AboutForm, CommentForm, NoticeForm
from placements.models import Comment
from placements.selectors.inbox import notices_of
from placements.services import comments as talk
from placements.services import notices
from studio.access import SignedRequest
from studio.errors import Invalid, Missing
from studio.forms import given
from studio.models import Artwork, Membership, Project, User, Wall
from studio.problems import problem
from studio.services import people

PAGE = 50


class MailForm(forms.ModelForm):
    """When the inbox may also write by e-mail."""

    time_zone = forms.ChoiceField(
        label="Your time zone", choices=[(one, one.replace("_", " ")) for one in sorted(zoneinfo.available_timezones())]
    )

    class Meta:
        model = User
        fields = ["quiet_from", "quiet_until", "time_zone", "digest"]
        labels = {
            "quiet_from": "Quiet from",
            "quiet_until": "Quiet until",
            "digest": "One letter a day, at eight in the morning, instead of one for each notice",
        }
        help_texts = {"digest": "", "quiet_from": "No letters between these hours; leave both empty for none."}
        widgets = {
            "quiet_from": forms.TimeInput(attrs={"type": "time"}),
            "quiet_until": forms.TimeInput(attrs={"type": "time"}),
        }

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if (cleaned.get("quiet_from") is None) != (cleaned.get("quiet_until") is None):
            raise forms.ValidationError("Give both ends of the quiet hours, or neither.")
        return cleaned


def _projects() -> QuerySet[Project]:
    return Project.objects.select_related("client__studio", "designer")


@login_required
@require_http_methods(["GET", "POST"])
def comments(request: SignedRequest, pk: int) -> HttpResponse:
    """What was said on a project, its walls and its pieces; `about` is "wall-7" or "work-9"."""
    project = access.get(request.user, _projects(), pk)
    about = given(AboutForm(request.POST if "about" in request.POST else request.GET))["about"]
    wall, work = _about(request, project, about)
    error = None
    if request.method == "POST":
        try:
            text = given(CommentForm(request.POST))["text"]
            comment = talk.comment_write(by=request.user, project=project, wall=wall, artwork=work, text=text)
        except Invalid as caught:
            error = caught
        else:
            return redirect(talk.comment_url(comment))
    rows = Comment.objects.filter(project=project).select_related("wall", "artwork", "author")
    if about:
        rows = rows.filter(wall=wall, artwork=work)
    return render(
        request,
        "placements/comments.html",
        {
            "here": "projects",
            "project": project,
            "comments": rows.order_by("-created_at", "-pk")[:200],
            "about": about,
            "about_row": wall or work,
            "walls": Wall.objects.filter(room__project=project).select_related("room"),
            "people": [
                membership.user
                for membership in Membership.objects.filter(studio=project.client.studio).select_related("user")
            ],
            "problem": problem(error) if error else None,
            "text": request.POST.get("text", ""),
        },
        status=error.status if error else 200,
    )


def _about(request: SignedRequest, project: Project, about: str) -> tuple[Wall | None, Artwork | None]:
    if not about:
        return None, None
    kind, _, pk = about.partition("-")
    if kind == "wall":
        return access.get(request.user, Wall.objects.filter(room__project=project).select_related("room"), pk), None
    if kind == "work":
        return None, access.get(request.user, Artwork, pk)
    raise Missing("There is no such wall or work.")


@login_required
@require_http_methods(["GET", "POST"])
def inbox(request: SignedRequest) -> HttpResponse:
    """The reader's notices, the newest first, and when they may be mailed."""
    form = MailForm(request.POST or None, instance=request.user)
    if request.method == "POST" and form.is_valid():
        people.me_update(by=request.user, **form.cleaned_data)
        messages.success(request, "Your mail settings are saved.")
        return redirect("inbox")
    if request.method == "POST":
        request.user.refresh_from_db()
    page = Paginator(notices_of(request.user), PAGE).get_page(request.GET.get("page"))
    return render(
        request,
        "placements/inbox.html",
        {"here": "inbox", "page": page, "form": form},
        status=422 if form.is_bound else 200,
    )


@login_required
@require_POST
def inbox_read(request: SignedRequest) -> HttpResponse:
    """Mark all as read, or one and go where it leads."""
    chosen = given(NoticeForm(request.POST))["notice"]
    if chosen is None:
        notices.notices_read(user=request.user)
        return redirect("inbox")
    notice = notices_of(request.user).filter(pk=chosen).first()
    if notice is None:
        raise Missing("This notice is not in your inbox.")
    notices.notices_read(user=request.user, notices=[notice.pk])
    return redirect(notice.url or "inbox")
