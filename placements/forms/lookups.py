"""What the addresses of pages ask for: words to find, the row to show, days and periods."""

from __future__ import annotations

from django import forms

from studio.formfields import Day, PlainText, RowNumber, WholeNumber


class Find(forms.Form):
    """Words to look for in a list."""

    find = PlainText(max_length=200, required=False, label="Words")


class TrailQuery(forms.Form):
    """Which part of a project's trail is meant."""

    since = Day(required=False)
    until = Day(required=False)
    who = PlainText(max_length=200, required=False)
    kind = PlainText(max_length=40, required=False)


class LearningQuery(forms.Form):
    """A rule, and how many days back."""

    days = WholeNumber(required=False, most=9999)
    rule = PlainText(max_length=60, required=False)


class QueueQuery(forms.Form):
    """The finding to show, or the one that was decided last."""

    finding = RowNumber()
    after = RowNumber()
