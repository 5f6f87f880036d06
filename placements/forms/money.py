"""A studio's price list, what an estimate is to hold, and what a client says to one."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from placements.estimating.lines import Framed, Purchase
from placements.estimating.prices import BOUNDS, LONGEST_NAME, MOST, MOST_MOULDINGS, OUTLINE, RATES, Prices, read_amount
from placements.services.money import LONGEST_NAME_GIVEN, LONGEST_NOTE, MOST_PURCHASES, MOST_VISITS
from studio.formfields import PlainText, Version, WholeNumber
from studio.models import Artwork

FRAMED_BY = {"united_inch": "united inch", "metre": "metre"}


class AmountField(PlainText):
    """An amount of money or a rate, as people type it; cleaned to a `Decimal`."""

    def __init__(self, *, most: Decimal = MOST, **kwargs: Any) -> None:
        self.most = most
        super().__init__(**{"max_length": 20, "widget": forms.TextInput({"inputmode": "decimal"}), **kwargs})
        self.validators = []  # a text's; how long it is was seen when it was read

    def to_python(self, value: Any) -> Any:
        if isinstance(value, Decimal):
            return value
        text = super().to_python(value)
        if not text:
            return None
        try:
            return read_amount(text, self.most)
        except ValueError as said:
            raise ValidationError(str(said), code="invalid") from said


class NamedAmounts(PlainText):
    """Lines of a name and an amount: "Walnut, slim = 4.50"."""

    def __init__(self, *, lines: int, name_length: int, **kwargs: Any) -> None:
        self.lines, self.name_length = lines, name_length
        super().__init__(max_length=lines * (name_length + 30), widget=forms.Textarea({"rows": 5}), **kwargs)
        self.validators = []

    def to_python(self, value: Any) -> Any:
        if not isinstance(value, str):
            return value or {}
        found: dict[str, Decimal] = {}
        for number, line in enumerate(filter(str.strip, super().to_python(value).splitlines()), start=1):
            name, equals, amount = line.rpartition("=")
            name = " ".join(name.split())
            if not equals or not name or len(name) > self.name_length:
                raise ValidationError(
                    f"Line {number}: write a name, “=”, an amount, as “Walnut = 4.50”.", code="invalid"
                )
            if name in found:
                raise ValidationError(f"Line {number}: “{name}” stands twice.", code="invalid")
            try:
                found[name] = read_amount(amount.strip())
            except ValueError as said:
                raise ValidationError(f"Line {number}: {said}", code="invalid") from said
        if len(found) > self.lines:
            raise ValidationError(f"At most {self.lines} lines.", code="invalid")
        return found

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(f"{name} = {amount}" for name, amount in value.items()) if isinstance(value, dict) else value


class PricesForm(forms.Form):
    """All of a price list, rate by rate."""

    version = WholeNumber(most=10**6, widget=forms.HiddenInput)
    currency = PlainText(max_length=3, help_text="Three letters, as EUR, GBP or USD.")
    framed_by = forms.ChoiceField(choices=list(FRAMED_BY.items()), label="Framing is charged by the")
    mouldings = NamedAmounts(
        lines=MOST_MOULDINGS,
        name_length=LONGEST_NAME,
        help_text="One a line, with its rate by the united inch or the metre: “Walnut, slim = 4.50”.",
    )

    def __init__(self, *args: Any, prices: Prices, version: int, **kwargs: Any) -> None:
        told = {
            "version": version,
            "currency": prices.currency,
            "framed_by": prices.framed_by,
            "mouldings": dict(prices.mouldings),
            **{one.id: prices.rate(one.id) for one in RATES},
        }
        super().__init__(*args, **{"initial": told, **kwargs})
        per = FRAMED_BY[prices.framed_by]
        for one in RATES:
            unit = f"a {per}" if one.unit == OUTLINE else one.unit
            self.fields[one.id] = AmountField(label=f"{one.name} ({unit})", most=BOUNDS.get(one.id, MOST))

    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The rates by what they are for, as the page shows them."""
        found: dict[str, list[forms.BoundField]] = {"Framing": [self["currency"], self["framed_by"], self["mouldings"]]}
        for one in RATES:
            found.setdefault(one.group, []).append(self[one.id])
        return list(found.items())

    def prices(self) -> Prices:
        told = self.cleaned_data
        return Prices(
            told["currency"].strip().upper(),
            told["framed_by"],
            {one.id: told[one.id] for one in RATES},
            told["mouldings"],
        )


class EstimateForm(forms.Form):
    """What is framed and bought for a plan, and how often the hanger comes."""

    purchases = NamedAmounts(
        lines=MOST_PURCHASES,
        name_length=160,
        required=False,
        help_text="What is to be bought, one a line: “Landscape, about 56 × 36 in = 1800”.",
    )
    visits = WholeNumber(least=1, most=MOST_VISITS, initial=1, label="Visits of the hanger")
    note = PlainText(
        max_length=LONGEST_NOTE, required=False, widget=forms.Textarea({"rows": 2}), label="Words to the client"
    )
    line_prices = forms.BooleanField(required=False, label="Show the client each line’s price")

    def __init__(self, *args: Any, works: Sequence[Artwork], mouldings: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.works = works
        choices = [("", "Keeps its frame"), *((name, name) for name in mouldings)]
        for work in works:
            self.fields[f"moulding_{work.pk}"] = forms.ChoiceField(choices=choices, required=False, label=work.title)
            self.fields[f"mat_{work.pk}"] = forms.BooleanField(required=False, label="with mat")
            self.fields[f"glazing_{work.pk}"] = forms.BooleanField(required=False, label="with glazing")

    def rows(self) -> list[tuple[Artwork, forms.BoundField, forms.BoundField, forms.BoundField]]:
        """Each work that could be framed, with its fields."""
        return [
            (work, self[f"moulding_{work.pk}"], self[f"mat_{work.pk}"], self[f"glazing_{work.pk}"])
            for work in self.works
        ]

    def framed(self) -> dict[int, Framed]:
        told = self.cleaned_data
        return {
            work.pk: Framed(told[f"moulding_{work.pk}"], told[f"mat_{work.pk}"], told[f"glazing_{work.pk}"])
            for work in self.works
            if told[f"moulding_{work.pk}"]
        }

    def bought(self) -> list[Purchase]:
        return [Purchase(text, amount) for text, amount in self.cleaned_data["purchases"].items()]


class EstimateAnswerForm(forms.Form):
    name = PlainText(max_length=LONGEST_NAME_GIVEN, required=False)
    text = PlainText(max_length=LONGEST_NOTE, required=False)
    answer = forms.ChoiceField(choices=[("approve", "Approve"), ("change", "Change")])


class PaceForm(forms.Form):
    version = Version()


class FileQuery(forms.Form):
    """As what the lines are fetched."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["as"] = forms.ChoiceField(
            choices=[(kind, kind) for kind in ("csv", "xlsx", "json")], required=False
        )
