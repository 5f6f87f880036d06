"""What the office asks for: sheets, jobs, reference cards."""

from __future__ import annotations

from django import forms

from placements.photogrammetry.card import CARDS_A_PAPER, PAPERS
from studio.formfields import PlainText, WholeNumber


class SheetForm(forms.Form):
    """A sheet of the whole revision or of one wall ("wall-7"), or a full-size template of one work ("template-9") or
    wall ("full-7")."""

    of = PlainText(max_length=40, required=False)
    paper = PlainText(max_length=20, required=False)


class IssueForm(forms.Form):
    """Who hangs a revision, and a note to them."""

    hanger_name = PlainText(max_length=120, required=False, label="Who hangs it")
    note = PlainText(max_length=2000, required=False)
    to_studs = forms.BooleanField(required=False)


class CardQuery(forms.Form):
    """A paper, and one of its numbered reference cards or all of them."""

    paper = forms.ChoiceField(
        choices=[(name, name) for name in PAPERS],
        required=False,
        error_messages={"invalid_choice": f"A card is printed on one of: {', '.join(PAPERS)}."},
    )
    number = WholeNumber(least=1, most=CARDS_A_PAPER, required=False)


class DocumentForm(forms.Form):
    """A document of an estimate."""

    kind = PlainText(max_length=20)
    paper = PlainText(max_length=20, required=False)
