"""Lists of art in and out: the steps of an import, and the export of what was looked for."""

from __future__ import annotations

import csv
import io
import secrets
from collections.abc import Iterator
from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.cache import cache
from django.db.models import QuerySet
from django.http import HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods
from openpyxl import Workbook

from studio import access
from studio.access import SignedRequest
from studio.errors import Invalid, Missing
from studio.formfields import PlainText, RowNumbers, offer
from studio.forms import attempt, given
from studio.imports.columns import COLUMNS, check_mapping, guess
from studio.imports.preview import Plan, preview
from studio.imports.tables import MAX_BYTES, MAX_ROWS, Table, guarded, read_table
from studio.models import Artwork, Client, Project, Studio
from studio.reader import units_for
from studio.services.art import artworks_add
from studio.units import inches, pounds

from .works import counted, selected

KEPT_FOR_S = 3600
SHOWN = 200
_UNITS = [("in", "inches"), ("cm", "centimetres"), ("mm", "millimetres")]
_ORDERS = [("height_first", "height × width, as museums write it"), ("width_first", "width × height")]


class ListForm(forms.Form):
    file = forms.FileField(
        label="The list",
        help_text="CSV or XLSX, headings in the first row.",
        widget=forms.FileInput({"accept": ".csv,.xlsx"}),
    )
    client = forms.ModelChoiceField(
        Client.objects.none(), required=False, empty_label="The studio's own stock", label="Owner"
    )
    project = forms.ModelChoiceField(
        Project.objects.none(), required=False, empty_label="Any of the client's", label="Meant for"
    )
    unit = forms.ChoiceField(choices=_UNITS, label="Numbers without a unit are")
    order = forms.ChoiceField(choices=_ORDERS, label="A size in one cell is")

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "client", studio.clients.all())
        offer(self, "project", Project.objects.filter(client__studio=studio).select_related("client"))


class ColumnsForm(forms.Form):
    """Which column says what: `mapping` has the chosen ones by their index."""

    def __init__(self, *args: Any, count: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for index in range(count):
            self.fields[f"column-{index}"] = PlainText(max_length=40, required=False, label=f"Column {index + 1}")

    def clean(self) -> dict[str, Any]:
        chosen = {int(name.removeprefix("column-")): said for name, said in self.cleaned_data.items() if said}
        return {"mapping": chosen}


class LeaveForm(forms.Form):
    """The rows of a list to leave out, by their numbers."""

    leave = RowNumbers(label="Rows left out", most=MAX_ROWS)


@login_required
@require_http_methods(["GET", "POST"])
def works_import(request: SignedRequest) -> HttpResponse:
    """First step: the file, whose pieces they are, and how it writes sizes."""
    studio = access.acting_studio(request)
    initial = {"unit": units_for(request.user, studio).unit, "client": request.GET.get("client")}
    form = ListForm(request.POST or None, request.FILES or None, studio=studio, initial=initial)
    if request.method == "POST" and form.is_valid():
        table = attempt(form, lambda: read_table(form.cleaned_data["file"].read(MAX_BYTES + 1)))
        client, project = form.cleaned_data["client"], form.cleaned_data["project"]
        if project is not None and client is not None and project.client_id != client.pk:
            form.add_error("project", "This project is another client's.")
        elif table is not None:
            token = secrets.token_urlsafe(24)
            kept = {
                "headings": table.headings,
                "rows": table.rows,
                "first_row": table.first_row,
                "studio": studio.pk,
                "client": client.pk if client else project.client_id if project else None,
                "project": project.pk if project else None,
                "unit": form.cleaned_data["unit"],
                "order": form.cleaned_data["order"],
                "mapping": guess(table.headings),
            }
            _keep(request, token, kept)
            return redirect("works_import_columns", token)
    context = {"here": "works", "form": form, "step": 1}
    return render(request, "studio/import_file.html", context, status=422 if form.errors else 200)


@login_required
@require_http_methods(["GET", "POST"])
def works_import_columns(request: SignedRequest, token: str) -> HttpResponse:
    """Second step: which column says what."""
    kept = _kept(request, token)
    problem = None
    if request.method == "POST":
        mapping = kept["mapping"] = given(ColumnsForm(request.POST, count=len(kept["headings"])))["mapping"]
        try:
            check_mapping(mapping, len(kept["headings"]))
        except Invalid as error:
            problem = error
        else:
            _keep(request, token, kept)
            return redirect("works_import_preview", token)
    samples = [
        {
            "index": index,
            "heading": heading,
            "chosen": kept["mapping"].get(index, ""),
            "cells": [row[index] for row in kept["rows"] if row[index]][:3],
        }
        for index, heading in enumerate(kept["headings"])
    ]
    context = {"here": "works", "samples": samples, "columns": COLUMNS, "problem": problem, "step": 2, "token": token}
    return render(request, "studio/import_columns.html", context, status=422 if problem else 200)


@login_required
@require_http_methods(["GET", "POST"])
def works_import_preview(request: SignedRequest, token: str) -> HttpResponse:
    """Third step: every row as it would be stored, with its faults; then all of them, or none."""
    kept = _kept(request, token)
    plan = _plan(request, kept)
    try:
        check_mapping(plan.mapping, len(kept["headings"]))
    except Invalid:
        return redirect("works_import_columns", token)
    rows = preview(Table(tuple(kept["headings"]), tuple(map(tuple, kept["rows"])), kept["first_row"]), plan)
    left_out = set(given(LeaveForm(request.POST))["leave"])
    taken = [row for row in rows if row.number not in left_out]
    faulty = [row for row in taken if row.faults]
    if request.method == "POST" and taken and not faulty:
        artworks_add(by=request.user, artworks=[row.artwork for row in taken if row.artwork is not None])
        cache.delete(_key(request, token))
        messages.success(request, f"{counted(len(taken))} in the inventory.")
        return redirect("works")
    context = {
        "here": "works",
        "rows": sorted(rows, key=lambda row: (not row.faults, row.number))[:SHOWN],
        "row_count": len(rows),
        "faulty": faulty,
        "left_out": left_out,
        "taken_count": len(taken),
        "units": units_for(request.user, plan.client, plan.studio),
        "plan": plan,
        "orders": dict(_ORDERS),
        "step": 3,
        "token": token,
    }
    return render(request, "studio/import_preview.html", context, status=422 if request.method == "POST" else 200)


@login_required
@require_GET
def works_export(request: SignedRequest) -> HttpResponseBase:
    """What was looked for, as CSV or XLSX; reading it back gives the same pieces."""
    studio = access.acting_studio(request)
    unit = units_for(request.user, studio).unit
    found = selected(request)
    if request.GET.get("as") == "xlsx":
        book = Workbook(write_only=True)
        sheet = book.create_sheet("Works")
        for line in _lines(found, unit):
            sheet.append([guarded(cell) for cell in line])
        out = io.BytesIO()
        book.save(out)
        return HttpResponse(
            out.getvalue(),
            content_type="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
            headers={"Content-Disposition": 'attachment; filename="works.xlsx"'},
        )
    writer = csv.writer(_Echo())
    body = (writer.writerow([guarded(cell) for cell in line]) for line in _lines(found, unit))
    return StreamingHttpResponse(
        body,
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="works.csv"'},
    )


class _Echo:
    def write(self, text: str) -> str:
        return text


def _lines(found: QuerySet[Artwork], unit: str) -> Iterator[list[Any]]:
    heavy = "lb" if unit == "in" else "kg"
    lengths = ("width", "height", "depth", "frame width", "mat width", "below top", "inset", "wire length", "spacing")
    yield [
        *("code", "title", "maker", "form"),
        *(f"{name} ({unit})" for name in lengths[:5]),
        *(f"weight ({heavy})", "frame", "glazed", "light", "themes", "set", "storage", "hardware"),
        *(f"{name} ({unit})" for name in lengths[5:]),
        *("client", "hangs on"),
    ]

    def length(mm: float | None) -> float | str:
        if mm is None:
            return ""
        return round({"in": inches(mm), "cm": mm / 10, "mm": mm}[unit], 4)

    for artwork in found.iterator(chunk_size=500):
        weight = (
            ""
            if artwork.weight_kg is None
            else round(pounds(artwork.weight_kg) if heavy == "lb" else artwork.weight_kg, 4)
        )
        yield [
            *(artwork.code, artwork.title, artwork.maker, artwork.form),
            *(
                length(mm)
                for mm in (
                    artwork.width_mm,
                    artwork.height_mm,
                    artwork.depth_mm,
                    artwork.frame_width_mm,
                    artwork.mat_width_mm,
                )
            ),
            *(weight, artwork.frame, "yes" if artwork.glazed else "no", artwork.light, ", ".join(artwork.themes)),
            *(artwork.set_name, artwork.storage, artwork.hang_kind),
            *(
                length(mm)
                for mm in (
                    artwork.hang_below_top_mm,
                    artwork.hang_inset_mm,
                    artwork.hang_length_mm,
                    artwork.hang_spacing_mm,
                )
            ),
            *(str(artwork.client or ""), f"{artwork.hung_wall.room}, {artwork.hung_wall}" if artwork.hung_wall else ""),
        ]


def _key(request: SignedRequest, token: str) -> str:
    return f"import:{request.user.pk}:{token}"


def _keep(request: SignedRequest, token: str, kept: dict[str, Any]) -> None:
    cache.set(_key(request, token), kept, KEPT_FOR_S)


def _kept(request: SignedRequest, token: str) -> dict[str, Any]:
    kept: dict[str, Any] | None = (
        cache.get(_key(request, token)) if token.replace("-", "").replace("_", "").isalnum() else None
    )
    if kept is None:
        raise Missing("This import has expired: nothing was saved. Send the list again.")
    return kept


def _plan(request: SignedRequest, kept: dict[str, Any]) -> Plan:
    return Plan(
        studio=access.get(request.user, Studio, kept["studio"]),
        client=access.get(request.user, Client, kept["client"]) if kept["client"] else None,
        project=access.get(request.user, Project, kept["project"]) if kept["project"] else None,
        mapping=kept["mapping"],
        unit=kept["unit"],
        order=kept["order"],
    )
