"""Forms of the studio's pages. They read and name; services decide, and their faults come back to the fields."""

from __future__ import annotations

import zoneinfo
from collections.abc import Callable
from functools import cache
from typing import Any, TypeVar

from django import forms
from django.db.models import QuerySet

from studio.crops import CORNERS, Crop
from studio.errors import Invalid, ServiceError
from studio.formfields import LengthField, LongSelect, PlainText, RowNumbers, Version, WeightField, offer, use_units
from studio.models import (
    Client,
    Form,
    HangKind,
    KeyScope,
    LightClass,
    Paper,
    Project,
    Role,
    Studio,
    UnitStyle,
    User,
    Wall,
)
from studio.units import Units

Result = TypeVar("Result")
FRAMES = ("none", "black", "white", "oak", "walnut", "driftwood", "gilt", "silver")


@cache
def _zones() -> list[tuple[str, str]]:
    names = (name for name in zoneinfo.available_timezones() if "/" in name or name == "UTC")
    return [(name, name.replace("_", " ")) for name in sorted(names)]


def attempt(form: forms.BaseForm, service: Callable[[], Result]) -> Result | None:
    """Call a service for a valid form; what it refuses is shown beside the fields, and the answer is None."""
    try:
        return service()
    except ServiceError as error:
        for fault in error.faults:
            where = fault["where"] if fault["where"] in form.fields else None
            form.add_error(where, fault["detail"])
        if not error.faults or not isinstance(error, Invalid):
            form.add_error(None, error.detail)
        return None


def given(form: forms.BaseForm) -> dict[str, Any]:
    """What a form says, by field; what was left out is None, empty or False.

    Raises:
        Invalid: naming every field at fault and what is expected of it.
    """
    if form.is_valid():
        return form.cleaned_data
    faults = []
    for name, texts in form.errors.items():
        of_field = name in form.fields
        for text in map(str, texts):
            detail = f"{form[name].label}: {text}" if of_field else text
            faults.append({"where": name if of_field else "", "detail": detail})
    raise Invalid(" ".join(fault["detail"] for fault in faults), faults=faults)


class ThemesField(PlainText):
    """Words between commas."""

    def to_python(self, value: Any) -> list[str]:  # type: ignore[override]
        text = super().to_python(value)
        return list(dict.fromkeys(word.strip() for word in text.split(",") if word.strip()))

    def prepare_value(self, value: Any) -> Any:
        return ", ".join(value) if isinstance(value, list) else value


class FactsField(PlainText):
    """Lines of a heading and what is said, with a colon between: `Owner: Ines Marlow`."""

    def to_python(self, value: Any) -> dict[str, str]:  # type: ignore[override]
        facts: dict[str, str] = {}
        last = ""
        for line in super().to_python(value).splitlines():
            name, colon, said = line.partition(":")
            if colon and name.strip() and len(name.strip()) <= 80:
                last = name.strip()
                facts[last] = said.strip()
            elif line.strip():
                last = last or "Notes"
                facts[last] = f"{facts.get(last, '')}\n{line.strip()}".strip()
        return {name: said for name, said in facts.items() if said}

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(f"{name}: {said}" for name, said in value.items()) if isinstance(value, dict) else value


class Measured(forms.Form):
    """A form whose measures are in its reader's units."""

    def __init__(self, *args: Any, units: Units, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        use_units(self, units)


class ArtworkForm(Measured):
    title = PlainText(max_length=200)
    maker = PlainText(max_length=120, required=False)
    form = forms.ChoiceField(choices=Form.choices)
    medium = PlainText(max_length=200, required=False, help_text="In words: oil on linen.")
    client = forms.ModelChoiceField(
        Client.objects.none(), required=False, empty_label="The studio's own stock", label="Belongs to"
    )
    project = forms.ModelChoiceField(
        Project.objects.none(), required=False, empty_label="Any of the client's", label="Meant for"
    )
    width_mm = LengthField(label="Width", help_text="Outer, with the frame.")
    height_mm = LengthField(label="Height", help_text="Outer, with the frame.")
    depth_mm = LengthField(label="Depth", zero=True, required=False, help_text="Out from the wall.")
    weight_kg = WeightField(
        label="Weight", required=False, help_text="Leave empty if it was not weighed: it is estimated and marked so."
    )
    frame = PlainText(
        max_length=40, required=False, help_text="Its colour or kind.", widget=forms.TextInput({"list": "frames"})
    )
    frame_width_mm = LengthField(label="Width of the frame", required=False)
    mat_width_mm = LengthField(label="Width of the mat", required=False)
    glazed = forms.BooleanField(required=False, label="Behind glass or acrylic")
    light = forms.ChoiceField(
        choices=LightClass.choices, label="In light", help_text="Paper, photographs and textiles are sensitive."
    )
    themes = ThemesField(required=False, max_length=400, help_text="Words between commas.")
    set_name = PlainText(max_length=60, required=False, label="Set", help_text="A set stays together.")
    hang_kind = forms.ChoiceField(
        choices=[("", "Not measured yet"), *HangKind.choices],
        required=False,
        label="Hangs by",
    )
    hang_below_top_mm = LengthField(
        label="Below the top edge", zero=True, required=False, help_text="Down to the rings or the hanger."
    )
    hang_inset_mm = LengthField(
        label="In from each side", zero=True, required=False, help_text="Wire: from the side to its ring."
    )
    hang_length_mm = LengthField(
        label="Length", required=False, help_text="Of a wire from ring to ring, with its slack; of a cleat or batten."
    )
    hang_spacing_mm = LengthField(
        label="Between the two points", required=False, help_text="Two rings, straps, keyholes or rods."
    )
    storage = PlainText(max_length=120, required=False, label="Stored", help_text="Where it is stored until it hangs.")
    facts = FactsField(
        max_length=20_000, required=False, label="Known of it", widget=forms.Textarea({"rows": 4}),
        help_text="A line each: Insured value: $ 4,500. Owner, provenance, notes, anything else.",
    )  # fmt: skip
    hung_wall = forms.ModelChoiceField(
        Wall.objects.none(), required=False, empty_label="Nowhere", label="Hangs today on"
    )
    hung_left_mm = LengthField(label="From the wall's left end", zero=True, required=False)
    hung_bottom_mm = LengthField(label="Bottom edge above the floor", zero=True, required=False)
    version = Version()

    def __init__(self, *args: Any, studio: Studio, units: Units, **kwargs: Any) -> None:
        super().__init__(*args, units=units, **kwargs)
        offer(self, "client", studio.clients.all())
        projects = Project.objects.filter(client__studio=studio).select_related("client")
        offer(self, "project", projects, lambda project: f"{project} ({project.client})")
        walls = Wall.objects.filter(room__project__client__studio=studio).select_related("room__project")
        offer(self, "hung_wall", walls, lambda wall: f"{wall.room.project}: {wall.room}, {wall}")

    @property
    def sections(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The fields under the headings of the page."""
        names = {
            "The piece": ("title", "maker", "form", "medium", "client", "project", "themes", "set_name"),
            "Size and weight": ("width_mm", "height_mm", "depth_mm", "weight_kg"),
            "Frame and light": ("frame", "frame_width_mm", "mat_width_mm", "glazed", "light"),
            "How it hangs": (
                *("hang_kind", "hang_below_top_mm", "hang_inset_mm", "hang_length_mm", "hang_spacing_mm"),
            ),
            "Where it is": ("storage", "hung_wall", "hung_left_mm", "hung_bottom_mm"),
            "What else is known": ("facts",),
        }
        return [(heading, [self[name] for name in fields]) for heading, fields in names.items()]

    def changes(self) -> dict[str, Any]:
        given = {name: value for name, value in self.cleaned_data.items() if name != "version"}
        return {**given, "depth_mm": given["depth_mm"] or 0.0}


class BulkForm(forms.Form):
    """What to change on many pieces; only what is ticked is changed."""

    maker = PlainText(max_length=120, required=False)
    form = forms.ChoiceField(choices=Form.choices, required=False)
    frame = PlainText(max_length=40, required=False, widget=forms.TextInput({"list": "frames"}))
    themes = ThemesField(required=False, max_length=400, help_text="Words between commas; they replace what is there.")
    glazed = forms.TypedChoiceField(
        choices=[("", "No"), ("yes", "Yes")],
        coerce=bool,
        empty_value=False,  # type: ignore[arg-type]
        required=False,
        label="Behind glass",
    )
    light = forms.ChoiceField(choices=LightClass.choices, required=False, label="In light")
    set_name = PlainText(max_length=60, required=False, label="Set")
    storage = PlainText(max_length=120, required=False, label="Stored")
    client = forms.ModelChoiceField(Client.objects.none(), required=False, empty_label="The studio's own stock")
    project = forms.ModelChoiceField(Project.objects.none(), required=False, empty_label="Any of the client's")

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "client", studio.clients.all())
        offer(self, "project", Project.objects.filter(client__studio=studio).select_related("client"))
        for name in list(self.fields):
            self.fields[f"set_{name}"] = forms.BooleanField(required=False, label=f"Change “{self[name].label}”")

    @property
    def pairs(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"set_{name}"], self[name]) for name in self.fields if f"set_{name}" in self.fields]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.changes():
            raise forms.ValidationError("Tick what to change.")
        return cleaned

    def changes(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        return {
            name: cleaned.get(name) for name in self.fields if f"set_{name}" in self.fields and cleaned[f"set_{name}"]
        }


def _share(label: str, whole: int) -> forms.FloatField:
    return forms.FloatField(
        required=False,
        min_value=0,
        max_value=100,
        initial=whole,
        label=label,
        widget=forms.NumberInput({"step": "any"}),
    )


class PictureForm(forms.Form):
    """A piece's photograph and the four corners of the piece in it, in percent of the photograph's sides."""

    picture = forms.FileField(
        required=False,
        label="Photograph or scan",
        help_text="JPEG, PNG, WebP, TIFF or HEIC, up to 25 MB.",
        widget=forms.FileInput({"accept": "image/*"}),
    )
    quarters = forms.TypedChoiceField(
        choices=[(0, "As taken"), (1, "A quarter to the right"), (2, "Upside down"), (3, "A quarter to the left")],
        coerce=int,
        empty_value=0,  # type: ignore[arg-type]
        required=False,
        label="Turned",
    )
    to_piece = forms.TypedChoiceField(
        choices=[("yes", "The piece’s own"), ("no", "As the corners lie")],
        coerce=lambda value: value != "no",
        empty_value=True,  # type: ignore[arg-type]
        required=False,
        initial="yes",
        label="Proportions",
    )
    top_left_across = _share("Top left, across (%)", 0)
    top_left_down = _share("Top left, down (%)", 0)
    top_right_across = _share("Top right, across (%)", 100)
    top_right_down = _share("Top right, down (%)", 0)
    bottom_right_across = _share("Bottom right, across (%)", 100)
    bottom_right_down = _share("Bottom right, down (%)", 100)
    bottom_left_across = _share("Bottom left, across (%)", 0)
    bottom_left_down = _share("Bottom left, down (%)", 100)

    @staticmethod
    def initial_of(crop: Crop) -> dict[str, Any]:
        corners = {
            f"{name}_{way}": round(100 * value, 3)
            for name, corner in zip(CORNERS, crop.corners, strict=True)
            for way, value in zip(("across", "down"), corner, strict=True)
        }
        return corners | {"quarters": crop.quarters, "to_piece": "yes" if crop.to_piece else "no"}

    def crop(self) -> Crop:
        """What was asked for; what was left blank is not cut.

        Raises:
            Invalid: see `Crop`.
        """
        given = self.cleaned_data

        def share(name: str) -> float:
            value = given[name]
            percent: float = self.fields[name].initial if value is None else value
            return percent / 100

        corners: Any = tuple((share(f"{name}_across"), share(f"{name}_down")) for name in CORNERS)
        return Crop(corners, given["quarters"], given["to_piece"])


class ChosenWorks(forms.Form):
    """The pieces that were ticked in the inventory."""

    work = RowNumbers(label="Pieces")


class ClientForm(forms.Form):
    name = PlainText(max_length=120)
    email = forms.EmailField(required=False, label="E-mail")
    unit_style = forms.ChoiceField(
        choices=[("", "The studio's own"), *UnitStyle.choices], required=False, label="Units"
    )
    notes = PlainText(required=False, max_length=4000, widget=forms.Textarea({"rows": 3}))


class ProjectForm(forms.Form):
    client = forms.ModelChoiceField(Client.objects.none())
    name = PlainText(max_length=120)
    address_note = PlainText(
        max_length=250,
        required=False,
        label="How to find it",
        help_text="For the hanger.",
        widget=forms.Textarea({"rows": 2}),
    )
    latitude = forms.FloatField(
        required=False,
        min_value=-90,
        max_value=90,
        help_text="With the compass bearing of a wall, it shows where the sun falls.",
    )
    longitude = forms.FloatField(required=False, min_value=-180, max_value=180)
    time_zone = forms.ChoiceField(required=False, choices=lambda: [("", "Not known"), *_zones()], widget=LongSelect)
    designer = forms.ModelChoiceField(User.objects.none(), required=False)
    survey_units = forms.ChoiceField(
        choices=[("in", "inches"), ("cm", "centimetres"), ("mm", "millimetres")], label="Units of its survey file"
    )

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "client", studio.clients.all())
        offer(self, "designer", studio.members.all())


class InvitationForm(forms.Form):
    email = forms.EmailField(label="E-mail")
    role = forms.ChoiceField(choices=Role.choices, initial=Role.DESIGNER)


class RoleForm(forms.Form):
    role = forms.ChoiceField(choices=Role.choices)


class KeyForm(forms.Form):
    """What a new key for programs is for."""

    label = PlainText(max_length=80, label="What will use it")
    scope = forms.ChoiceField(choices=KeyScope.choices, initial=KeyScope.READ, label="It may")
    studio = forms.ModelChoiceField(Studio.objects.none(), required=False, empty_label="All of mine", label="In")
    days = forms.TypedChoiceField(
        choices=[(30, "30 days"), (90, "90 days"), (180, "180 days"), (366, "A year")],
        coerce=int,
        initial=90,
        label="It works for",
    )
    kept = forms.BooleanField(
        required=False,
        label="Goes on working when I change my password or set up a second factor",
        help_text="Otherwise it ends then, as every key should that somebody else may have made.",
    )

    def __init__(self, *args: Any, studios: QuerySet[Studio], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "studio", studios)


class ComeInForm(forms.Form):
    """A new person's name and password."""

    name = PlainText(max_length=120, label="Your name", widget=forms.TextInput({"autocomplete": "name"}))
    password = PlainText(
        max_length=128,
        strip=False,
        widget=forms.PasswordInput({"autocomplete": "new-password"}),
        help_text="At least 12 characters.",
    )


class StudioForm(forms.Form):
    name = PlainText(max_length=120)
    unit_style = forms.ChoiceField(choices=UnitStyle.choices, label="Units")
    paper = forms.ChoiceField(choices=Paper.choices, label="Paper of sheets")
    time_zone = forms.ChoiceField(choices=lambda: _zones(), widget=LongSelect)
    require_second_factor = forms.BooleanField(
        required=False, label="Everybody needs a second factor", help_text="A code from a phone, or a passkey."
    )
    moved_piece_price = forms.FloatField(
        min_value=0,
        max_value=100,
        label="What moving a piece costs",
        help_text="Points that a new proposal must gain for each piece it moves.",
    )


class LogoForm(forms.Form):
    logo = forms.FileField(
        label="Logo", help_text="At the head of sheets.", widget=forms.FileInput({"accept": "image/*"})
    )


class MyForm(forms.Form):
    name = PlainText(max_length=120)
    unit_style = forms.ChoiceField(
        choices=[("", "The client's own"), *UnitStyle.choices], required=False, label="Units"
    )
    time_zone = forms.ChoiceField(choices=lambda: _zones(), widget=LongSelect)
    quiet_from = forms.TimeField(required=False, label="No letters from", widget=forms.TimeInput({"type": "time"}))
    quiet_until = forms.TimeField(required=False, label="until", widget=forms.TimeInput({"type": "time"}))
    digest = forms.BooleanField(required=False, label="One letter a day instead of one for each notice")
