"""Lists of art in and out: the steps of an import, and the export of what was looked for."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import QuerySet
from django.http import HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from openpyxl import Workbook

from studio import access
from studio.access import SignedRequest
from studio.errors import Invalid, Missing
from studio.formfields import PlainText, RowNumbers, WholeNumber, offer
from studio.forms import attempt, given
from studio.imports import lists
from studio.imports.columns import COLUMNS, KEEP, check_mapping
from studio.imports.preview import preview
from studio.imports.tables import MAX_BYTES, MAX_CELL, MAX_COLUMNS, MAX_ROWS, guarded
from studio.models import ArtList, Artwork, Client, ListState, Project, Studio
from studio.reader import units_for
from studio.units import inches, pounds

from .works import counted, selected

SHOWN = 200
#: Rows about the headings that are shown to choose them from.
OFFERED = 12
_UNITS = [("in", "inches"), ("cm", "centimetres"), ("mm", "millimetres")]
_ORDERS = [("height_first", "height × width, as museums write it"), ("width_first", "width × height")]
_MEND = re.compile(r"mend-(\d{1,6})-(\w{1,40})", re.ASCII)


class ListForm(forms.Form):
    file = forms.FileField(
        label="The list",
        help_text="CSV or XLSX, as it is kept: titles above the headings, names of rooms, totals and notes may stay.",
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


class HeadingForm(forms.Form):
    """Which sheet is read, and which of its rows holds the headings, by its number in the file."""

    sheet = WholeNumber(required=False, most=100)
    heading = WholeNumber(required=False, least=1, most=MAX_ROWS * 10)


class MendForm(forms.Form):
    """What is done with the rows: `do`; those left out; one that is a piece after all; cells that were mended.

    `cells` has the mended ones by row and field, `alike` those of many rows: field, what the cells say now, what they
    shall say.
    """

    do = forms.ChoiceField(choices=[(one, one) for one in ("check", "good", "save")], required=False)
    leave = RowNumbers(label="Rows left out", most=MAX_ROWS)
    take = WholeNumber(required=False, least=1, most=MAX_ROWS * 10)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        text = PlainText(max_length=MAX_CELL, required=False)
        cells, alike = {}, []
        for name in list(self.data)[: 4 * MAX_ROWS]:
            if match := _MEND.fullmatch(name):
                cells[int(match[1]), match[2]] = text.clean(self.data[name])
        for number in range(20):
            said = [text.clean(self.data.get(f"alike-{number}-{part}", "")) for part in ("name", "was", "is")]
            if said[0] and said[1] != said[2]:
                alike.append(said)
        return data | {"cells": cells, "alike": alike}


def _list(request: SignedRequest, pk: int) -> ArtList:
    """A list is its sender's own."""
    row = access.get(request.user, ArtList.objects.select_related("studio", "client", "project__client"), pk)
    if row.sent_by_id != request.user.pk:
        raise Missing("There is no such list, or it was sent by somebody else.")
    return row


@login_required
@require_http_methods(["GET", "POST"])
def works_import(request: SignedRequest) -> HttpResponse:
    """First step: the file, whose pieces they are, and how it writes sizes."""
    studio = access.acting_studio(request)
    initial = {"unit": units_for(request.user, studio).unit, "client": request.GET.get("client")}
    form = ListForm(request.POST or None, request.FILES or None, studio=studio, initial=initial)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        content = data["file"].read(MAX_BYTES + 1)
        if len(content) > MAX_BYTES:
            form.add_error("file", f"A list may have {MAX_BYTES // 2**20} MB.")
        else:
            same = {name: data[name] for name in ("unit", "order", "client", "project")}
            row = attempt(
                form,
                lambda: lists.list_send(
                    by=request.user, studio=studio, name=data["file"].name or "", content=content, **same
                ),
            )
            if row is not None:
                return redirect("works_import_columns", row.pk)
    open_lists = ArtList.objects.filter(studio=studio, sent_by=request.user).order_by("-pk").only("name", "created_at")
    context = {"here": "works", "form": form, "step": 1, "open_lists": open_lists}
    return render(request, "studio/import_file.html", context, status=422 if form.errors else 200)


@login_required
@require_http_methods(["GET", "POST"])
def works_import_columns(request: SignedRequest, pk: int) -> HttpResponse:
    """Second step, once the file is read: where its headings stand, and which column says what."""
    row = _list(request, pk)
    if row.state != ListState.READY:
        template = "studio/_import_reading.html" if request.htmx else "studio/import_reading.html"
        return render(request, template, {"here": "works", "row": row, "step": 1})
    if request.htmx:
        return HttpResponse(headers={"HX-Redirect": request.path})
    plan = lists.plan_of(row)
    problem = None
    if request.method == "POST":
        mapping = given(ColumnsForm(request.POST, count=len(plan.headings)))["mapping"]
        lists.list_map(row=row, mapping=mapping)
        try:
            check_mapping(mapping, len(plan.headings))
        except Invalid as error:
            problem = error
        else:
            return redirect("works_import_preview", row.pk)
        plan = lists.plan_of(row)
    below = plan.rows[plan.heading + 1 :]
    samples = [
        {
            "index": index,
            "heading": heading,
            "chosen": plan.mapping.get(index, ""),
            "cells": [one[index] for one in below if index < len(one) and one[index]][:3],
        }
        for index, heading in enumerate(plan.headings)
    ]
    first = max(plan.heading - OFFERED // 2, 0)
    context = {
        "here": "works", "samples": samples, "columns": COLUMNS, "keep": KEEP, "problem": problem,
        "step": 2, "row": row,
        "sheets": [one["name"] for one in row.sheets],
        "about": [(first + at + 1, cells) for at, cells in enumerate(plan.rows[first : first + OFFERED])],
        "heading": plan.heading + 1,
    }  # fmt: skip
    return render(request, "studio/import_columns.html", context, status=422 if problem else 200)


@login_required
@require_POST
def works_import_heading(request: SignedRequest, pk: int) -> HttpResponse:
    """Another sheet, or another row for the headings."""
    row = _list(request, pk)
    lists.plan_of(row)  # it is read
    chosen = given(HeadingForm(request.POST))
    sheet = row.choice["sheet"] if chosen["sheet"] is None else chosen["sheet"]
    lists.list_choose(row=row, sheet=sheet, heading=(chosen["heading"] or row.choice["heading"] + 1) - 1)
    return redirect("works_import_columns", row.pk)


@login_required
@require_http_methods(["GET", "POST"])
def works_import_preview(request: SignedRequest, pk: int) -> HttpResponse:
    """Third step: every row as it would be stored; its faults are mended here, alike ones at once; the good ones may
    be stored before the others."""
    row = _list(request, pk)
    plan = lists.plan_of(row)
    try:
        check_mapping(plan.mapping, min(len(plan.headings), MAX_COLUMNS))
    except Invalid:
        return redirect("works_import_columns", row.pk)
    refused = False
    leave: frozenset[int] = frozenset()
    if request.method == "POST":
        edit = given(MendForm(request.POST))
        leave = frozenset(edit["leave"])
        cells = edit["cells"] | _alike(plan, edit["alike"])
        if cells or edit["take"]:
            lists.list_mend(row=row, cells=cells, taken=edit["take"])
        if edit["do"] in ("save", "good") or not edit["do"]:
            found = lists.list_store(by=request.user, row=row, leave=leave, only_good=edit["do"] == "good")
            if found.stored:
                messages.success(request, _stored(found.stored))
                left = ArtList.objects.filter(pk=row.pk).exists()
                return redirect("works_import_preview", row.pk) if left else redirect("works")
            refused = True
        if not refused:
            return redirect("works_import_preview", row.pk)
    found = preview(lists.plan_of(row))
    faulty = [one for one in found.rows if one.faults and one.number not in leave]
    context = {
        "here": "works", "row": row, "step": 3, "plan": plan, "refused": refused,
        "rows": sorted(found.rows, key=lambda one: (not one.faults, one.number))[:SHOWN],
        "row_count": len(found.rows),
        "faulty": faulty,
        "good_count": sum(not one.faults for one in found.rows if one.number not in leave),
        "there_count": sum(one.there for one in found.rows),
        "alike": found.alike,
        "passed": found.passed,
        "left_out": leave,
        "units": units_for(request.user, plan.client, plan.studio),
    }  # fmt: skip
    return render(request, "studio/import_preview.html", context, status=422 if refused else 200)


def _alike(plan: Any, alike: list[list[str]]) -> dict[tuple[int, str], str]:
    """The cells of every row that has one of these faults, as they shall be."""
    if not alike:
        return {}
    new = {(name, was): now for name, was, now in alike}
    return {
        (one.number, fault.name): new[fault.name, fault.cell]
        for one in preview(plan).rows
        for fault in one.faults
        if (fault.name, fault.cell) in new
    }


def _stored(rows: list[Any]) -> str:
    """What became of the pieces, in words."""
    added = sum(not one.there for one in rows)
    changed = sum(one.there and bool(one.changes) for one in rows)
    same = len(rows) - added - changed
    said = [
        f"{counted(added)} added" if added else "",
        f"{counted(changed)} updated by number" if changed else "",
        f"{counted(same)} unchanged" if same else "",
    ]
    return ", ".join(filter(None, said)) + "."


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
    facts = sorted({name for one in found.values_list("facts", flat=True) for name in one})
    yield [
        *("code", "title", "maker", "form", "medium in words"),
        *(f"{name} ({unit})" for name in lengths[:5]),
        *(f"weight ({heavy})", "frame", "glazed", "light", "themes", "set", "storage", "hardware"),
        *(f"{name} ({unit})" for name in lengths[5:]),
        *("client", "hangs on"),
        *facts,
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
            *(artwork.code, artwork.title, artwork.maker, artwork.form, artwork.medium),
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
            *(artwork.facts.get(name, "") for name in facts),
        ]
