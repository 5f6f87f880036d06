"""Editing a wall, composing a group for it, and comparing ways to hang it."""

from __future__ import annotations

from django import forms

from studio.formfields import LengthField, PlainText, RowNumber, RowNumbers, Ticked, Version, WholeNumber
from studio.units import LONGEST_MM

#: A whole wall, or a group, as a page carries it: see `views.carried`.
LONGEST_STATE = 1_000_000
SPACE = 160
#: How the outer edges of an arrangement of mixed sizes read, and what the page calls it; the first unless asked.
EDGES = (("rectangle", "Straight"), ("oval", "Oval"), ("diamond", "Stepped diamond"))


def _millimetres() -> forms.FloatField:
    """A length as a script sends it [mm]."""
    return forms.FloatField(required=False, min_value=-LONGEST_MM, max_value=LONGEST_MM)


class WallQuery(forms.Form):
    """The piece and the space to show."""

    piece = RowNumber()
    space = PlainText(max_length=SPACE, required=False)


class WallEditForm(forms.Form):
    """Everything that an edit of a wall may need; each kind of edit takes its own."""

    version = Version()
    take_back = Ticked()
    artwork = RowNumber()
    left_mm = _millimetres()
    bottom_mm = _millimetres()
    measure = PlainText(max_length=20, required=False)
    left = LengthField(zero=True, negative=True, required=False)
    right = LengthField(zero=True, negative=True, required=False)
    bottom = LengthField(zero=True, negative=True, required=False)
    centre = LengthField(zero=True, negative=True, required=False)
    above = LengthField(zero=True, negative=True, required=False)
    space = PlainText(max_length=SPACE, required=False)
    reason = PlainText(max_length=250, required=False)
    why = PlainText(max_length=4000, required=False)
    remedy = PlainText(max_length=60, required=False)
    text = PlainText(max_length=4000, required=False)
    name = PlainText(max_length=60, required=False)
    state = PlainText(max_length=LONGEST_STATE, required=False)


class GroupsQuery(forms.Form):
    """A space, and what to compose for it: of which works, which of them for certain, how many, with which edge."""

    space = PlainText(max_length=SPACE, required=False)
    around = Ticked()
    compose = Ticked()
    all = Ticked()
    work = RowNumbers()
    pin = RowNumbers()
    least = WholeNumber(required=False, most=999)
    most = WholeNumber(required=False, most=999)
    edge = forms.ChoiceField(choices=EDGES, required=False)


class GroupForm(forms.Form):
    """A group as its page carries it, and one edit of it."""

    version = Version()
    take_back = Ticked()
    space = PlainText(max_length=SPACE, required=False)
    around = Ticked()
    do = PlainText(max_length=20, required=False)
    state = PlainText(max_length=LONGEST_STATE, required=False)
    work = RowNumber()
    other = RowNumber()
    new = RowNumber()
    left_mm = _millimetres()
    bottom_mm = _millimetres()
    gap = PlainText(max_length=60, required=False)


class CompareQuery(forms.Form):
    """The two ways to hang a wall that are compared, in which space; `work` is the second by itself."""

    a = PlainText(max_length=60, required=False)
    b = PlainText(max_length=60, required=False)
    space = PlainText(max_length=SPACE, required=False)
    work = RowNumber()


class KeepForm(CompareQuery):
    """A way to hang a wall, to keep by name."""

    name = PlainText(max_length=60, required=False)
    state = PlainText(max_length=LONGEST_STATE, required=False)
