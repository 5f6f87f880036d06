"""What people type into the designer's pages. Measures are read in the reader's own units."""

from __future__ import annotations

from typing import Any, cast

from django import forms

from studio.formfields import LengthField, LineField, PlainText, RowNumber, RowNumbers, Ticked, Version
from studio.models import Room, Wall, WallItem
from studio.models.furniture import Hinge, ItemKind, Opens
from studio.models.rooms import Build, Finish, Importance, RoomUse


class Described(forms.Form):
    """A form whose faults from a service go beside the field that they speak of."""

    #: The service's name of a field -> the form's, where they differ.
    names: dict[str, str] = {}

    def take_faults(self, faults: list[dict[str, str]], otherwise: str) -> None:
        placed = False
        for fault in faults:
            field = self.names.get(fault["where"], fault["where"])
            self.add_error(field if field in self.fields else None, fault["detail"].capitalize())
            placed = True
        if not placed:
            self.add_error(None, otherwise)


class EditForm(forms.Form):
    """What an edit of a survey is made on: the item, if one is meant, and the version of the wall that was seen."""

    item = RowNumber()
    version = Version()


class LineForm(forms.Form):
    """A line of shorthand: what it puts is shown, or with `add` put on the wall."""

    line = PlainText(max_length=1000, required=False, strip=False)
    add = Ticked()


class SeveralForm(forms.Form):
    """What is done with several things: `move` by lengths, `mirror` them, put them there `again`, `delete` them."""

    do = forms.ChoiceField(choices=[(one, one) for one in ("move", "mirror", "again", "delete")], required=False)
    chosen = RowNumbers(most=200)
    across = LengthField(zero=True, negative=True, required=False)
    up = LengthField(zero=True, negative=True, required=False)
    version = Version()


class CopyForm(forms.Form):
    """What the copy of a wall is called."""

    name = PlainText(max_length=120, required=False)


#: The fields of a handrail's two ends.
RAIL = ("rail_from_x_mm", "rail_from_y_mm", "rail_to_x_mm", "rail_to_y_mm")


def _rail_of(wall: Wall) -> list[list[float]]:
    ends = [getattr(wall, name) for name in RAIL]
    return [] if None in ends else [ends[:2], ends[2:]]


class WallForm(Described):
    names = {
        "length_mm": "length", "height_mm": "height", "ceiling_mm": "ceiling",
        **dict.fromkeys(RAIL, "rail"),
    }  # fmt: skip

    room = forms.ChoiceField(label="Room", required=False)
    new_room = PlainText(
        label="or a new room", max_length=120, required=False, help_text="What you type here counts, not the list."
    )
    use = forms.ChoiceField(label="Used as", choices=RoomUse.choices, required=False, initial=RoomUse.LIVING)
    name = PlainText(label="Wall", max_length=120, help_text="As everybody calls it: north wall, bed wall.")
    length = LengthField(label="Length", help_text="From end to end, at the floor.")
    height = LengthField(label="Height", help_text="Finished floor to ceiling, where it is highest.")
    ceiling = LineField(
        label="Ceiling, where it slopes or steps", required=False,
        help_text="From the left end to the right: along / up; along / up. Two points at one place are a step.",
    )  # fmt: skip
    rail = LineField(
        label="Handrail, on a stair", required=False,
        help_text="Its two ends: along / up; along / up. The treads are drawn 3 ft below it.",
    )  # fmt: skip
    build = forms.ChoiceField(label="Built of", choices=Build.choices, initial=Build.DRYWALL)
    finish = forms.ChoiceField(label="Finish", choices=Finish.choices, initial=Finish.PAINT)
    faces_deg = forms.FloatField(
        label="Faces", required=False, min_value=0, max_value=359.99,
        help_text="Compass bearing that the wall looks towards, in degrees; for the sun.",
    )  # fmt: skip
    accent = forms.BooleanField(label="Accent wall", required=False)
    importance = forms.ChoiceField(
        label="In its room", choices=Importance.choices, initial=Importance.ORDINARY, required=False
    )
    keep_bare = forms.BooleanField(label="Keep this wall bare", required=False)

    def __init__(self, *args: Any, rooms: list[Room], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cast(forms.ChoiceField, self.fields["room"]).choices = [
            ("", "New room"),
            *((str(room.pk), room.name) for room in rooms),
        ]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not data.get("room") and not data.get("new_room") and "new_room" not in self.errors:
            self.add_error("new_room", "Choose a room, or name a new one.")
        if len(data.get("rail") or [[], []]) != 2:
            self.add_error("rail", "Give its two ends, such as 0 / 3'; 10' / 9' 6\", or leave it empty.")
        return data

    def values(self) -> dict[str, Any]:
        data = self.cleaned_data
        ends: list[float | None] = [mm for point in data["rail"] for mm in point] or [None] * 4
        return {
            **dict(zip(RAIL, ends, strict=True)),
            "name": data["name"],
            "length_mm": data["length"],
            "height_mm": data["height"],
            "build": data["build"],
            "finish": data["finish"],
            "faces_deg": data["faces_deg"],
            "accent": data["accent"],
            "ceiling_mm": data["ceiling"],
            "importance": data["importance"] or Importance.ORDINARY,
            "keep_bare": data["keep_bare"],
        }

    @staticmethod
    def initial_of(wall: Wall) -> dict[str, Any]:
        return {
            "room": str(wall.room_id),
            "name": wall.name,
            "length": wall.length_mm,
            "height": wall.height_mm,
            "build": wall.build,
            "finish": wall.finish,
            "faces_deg": wall.faces_deg,
            "accent": wall.accent,
            "ceiling": wall.ceiling_mm,
            "rail": _rail_of(wall),
            "importance": wall.importance,
            "keep_bare": wall.keep_bare,
        }


class ItemForm(Described):
    names = {
        "left_mm": "left", "bottom_mm": "bottom", "width_mm": "width", "height_mm": "height", "depth_mm": "depth",
        "swing_leaf_mm": "leaf", "swing_hinge": "hinge", "swing_opens": "opens",
    }  # fmt: skip

    kind = forms.ChoiceField(label="What", choices=ItemKind.choices)
    place = forms.ChoiceField(label="Where", required=False)
    left = LengthField(label="From there", zero=True, negative=True, required=False)
    bottom = LengthField(label="Above the floor", zero=True)
    width = LengthField(label="Width")
    height = LengthField(label="Height")
    depth = LengthField(label="Out from the wall", zero=True, required=False)
    label = PlainText(
        label="Name", max_length=80, required=False, help_text="If the kind alone does not tell it apart."
    )
    view = forms.BooleanField(label="A view worth keeping", required=False)
    opens = forms.ChoiceField(label="The leaf stands open", choices=[("", "not known"), *Opens.choices], required=False)
    hinge = forms.ChoiceField(label="Hinges", choices=[("", "not known"), *Hinge.choices], required=False)
    leaf = LengthField(label="Width of the leaf", required=False, help_text="Of one, where there are two.")
    acts = forms.ChoiceField(
        label="Acts as",
        required=False,
        choices=[
            ("", "nothing to mind"),
            ("bearer", "something art hangs over"),
            ("bound", "something that cuts the free wall"),
            ("service", "a service to keep clear of"),
        ],
    )

    def __init__(self, *args: Any, wall: Wall, item: WallItem | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.wall = wall
        self.others = {str(one.pk): one for one in wall.items.all() if item is None or one.pk != item.pk}
        beside = [(f"{side}-{pk}", f"{side} of {one}") for pk, one in self.others.items() for side in ("right", "left")]
        cast(forms.ChoiceField, self.fields["place"]).choices = [
            ("", "from the left end"), ("end", "from the right end"), ("centred", "centred"), *beside,
        ]  # fmt: skip

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("left") is None and "left" not in self.errors:
            if not data.get("place"):
                self.add_error("left", "Say how far from the left end, or choose where.")
            data["left"] = 0.0
        return data

    def _left(self) -> float:
        """The left edge [mm], on the reader's grid where it is worked out."""
        data = self.cleaned_data
        side, _, pk = data["place"].partition("-")
        gap, width = data["left"], data["width"]
        if not side:
            return float(gap)
        units = cast(LengthField, self.fields["left"]).units
        other = self.others.get(pk)
        if side == "centred":
            return units.rounded((self.wall.length_mm - width) / 2)
        if other is None:
            return units.rounded(self.wall.length_mm - gap - width)
        return units.rounded(other.left_mm + other.width_mm + gap if side == "right" else other.left_mm - gap - width)

    @property
    def called(self) -> str:
        """What a valid form's item is called: by its label, else by its kind in words."""
        return self.cleaned_data["label"] or str(ItemKind(self.cleaned_data["kind"]).label)

    def values(self) -> dict[str, Any]:
        data = self.cleaned_data
        return {
            "kind": data["kind"],
            "left_mm": self._left(),
            "bottom_mm": data["bottom"],
            "width_mm": data["width"],
            "height_mm": data["height"],
            "depth_mm": data["depth"] or 0.0,
            "label": data["label"],
            "view": data["view"] and data["kind"] == ItemKind.WINDOW,
            **self._swing(),
            "acts": (data["acts"] or "ignore") if data["kind"] == ItemKind.CUSTOM else "",
        }

    def _swing(self) -> dict[str, Any]:
        data = self.cleaned_data
        if data["kind"] != ItemKind.DOOR:
            return {"swing_hinge": "", "swing_leaf_mm": None, "swing_opens": ""}
        return {"swing_hinge": data["hinge"], "swing_leaf_mm": data["leaf"], "swing_opens": data["opens"]}

    @staticmethod
    def initial_of(item: WallItem) -> dict[str, Any]:
        return {
            "kind": item.kind,
            "left": item.left_mm,
            "bottom": item.bottom_mm,
            "width": item.width_mm,
            "height": item.height_mm,
            "depth": item.depth_mm,
            "label": item.label,
            "view": item.view,
            "hinge": item.swing_hinge,
            "leaf": item.swing_leaf_mm,
            "opens": item.swing_opens,
            "acts": "" if item.acts == "ignore" else item.acts,
        }
