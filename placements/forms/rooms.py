"""Naming, ordering, copying and deleting the rooms and walls of a project."""

from __future__ import annotations

from typing import Any

from django import forms

from studio.formfields import LengthField, PlainText, RowNumber, Ticked
from studio.forms import ThemesField
from studio.models import Room
from studio.models.rooms import RoomUse

from .survey import Described


class RoomsEdit(forms.Form):
    """What is done to which room or wall; `to` is the room that a wall moves to, `sure` that its pieces may go, too."""

    do = forms.ChoiceField(
        choices=[(one, one) for one in ("save", "earlier", "later", "copy", "delete")], required=False
    )
    room = RowNumber()
    wall = RowNumber()
    to = RowNumber()
    name = PlainText(max_length=120, required=False)
    sure = Ticked()


class RoomForm(Described):
    names = {"clear_width_mm": "clear_width"}

    name = PlainText(label="Name", max_length=120)
    use = forms.ChoiceField(label="Used as", choices=RoomUse.choices)
    style = PlainText(label="Style", max_length=60, required=False)
    colours = ThemesField(
        label="Colours", max_length=400, required=False,
        help_text="Of its walls and furnishings, the one that counts first: ivory, #d8cfc0.",
    )  # fmt: skip
    clear_width = LengthField(label="Width of the way", required=False, help_text="In a corridor, between its walls.")
    around = forms.BooleanField(
        label="Its walls stand in order, clockwise seen from above, and meet end to end", required=False
    )

    def values(self) -> dict[str, Any]:
        data = self.cleaned_data
        same = {name: data[name] for name in ("name", "use", "style", "colours", "around")}
        return same | {"clear_width_mm": data["clear_width"]}

    @staticmethod
    def initial_of(room: Room) -> dict[str, Any]:
        same = {name: getattr(room, name) for name in ("name", "use", "style", "colours", "around")}
        return same | {"clear_width": room.clear_width_mm}
