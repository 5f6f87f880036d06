"""Opening a draft, and taking a proposal over."""

from __future__ import annotations

from django import forms

from studio.formfields import PlainText, RowNumbers, Ticked


class OpenForm(forms.Form):
    """Where to go on once a draft is open."""

    next = PlainText(max_length=500, required=False)


class ProposalForm(forms.Form):
    """How a proposal is to be made."""

    as_usual = Ticked()


class AcceptForm(forms.Form):
    """The walls to hang as proposed, or all of them."""

    walls = RowNumbers()
    whole = Ticked()
    even_changed = Ticked()
