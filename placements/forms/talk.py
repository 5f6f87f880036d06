"""What the studio and its clients say to one another."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms

from placements.services.client_links import LONGEST_DAYS, LONGEST_LABEL, LONGEST_TEXT
from studio.formfields import PlainText, RowNumber, RowNumbers, WholeNumber


class AboutForm(forms.Form):
    """What a page of comments is about: a wall ("wall-7"), a work ("work-9"), or the whole project."""

    about = PlainText(max_length=40, required=False)


class CommentForm(AboutForm):
    text = PlainText(max_length=LONGEST_TEXT, required=False)


class NoticeForm(forms.Form):
    """One notice of the inbox, or all of them."""

    notice = RowNumber()


class LinkForm(forms.Form):
    """A new link for a client."""

    label = PlainText(max_length=LONGEST_LABEL, required=False, label="For")
    days = WholeNumber(least=1, most=LONGEST_DAYS)
    rooms = RowNumbers()


class AnswerForm(forms.Form):
    """What a client says to a wall: approved, to be changed, or a remark alone."""

    answer = forms.ChoiceField(choices=[("approve", "Approve"), ("change", "Change")], required=False)
    text = PlainText(max_length=LONGEST_TEXT, required=False, label="Your remark")


class ClientPhotosForm(forms.Form):
    """Which photograph of each wall the client sees: "newest", "none", or its number."""

    def __init__(self, data: Any, *, walls: Iterable[int]) -> None:
        super().__init__(data)
        for wall in walls:
            self.fields[f"wall-{wall}"] = PlainText(max_length=20, required=False)
