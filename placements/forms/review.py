"""What the designer says of exceptions and the principal decides."""

from __future__ import annotations

from typing import Any

from django import forms

from placements.models import Verdict
from placements.services.lifecycle import STEPS
from placements.services.review import Answer
from studio.formfields import PlainText, RowNumber, RowNumbers

#: The name of a reason's field, before the key of its finding.
WHY = "why-"


class DecideForm(forms.Form):
    """The principal's answer to the exceptions that are ticked, and which decisions were seen on them.

    `change` is the note of a return, `reason` the word with an acceptance: a form that shows both sends both.
    """

    finding = RowNumbers()
    seen = RowNumbers()
    verdict = forms.ChoiceField(
        choices=Verdict.choices, error_messages={"required": "Accept it, accept it for the project, or return it."}
    )
    reason = PlainText(max_length=4000, required=False)
    change = PlainText(max_length=4000, required=False)
    wanted = PlainText(max_length=250, required=False)

    @staticmethod
    def answer(cleaned: dict[str, Any]) -> Answer:
        reason = cleaned["change"] if cleaned["verdict"] == Verdict.RETURN else cleaned["reason"]
        return Answer(cleaned["verdict"], reason, cleaned["wanted"])


class ChangeRuleForm(forms.Form):
    """A new number for the rule behind an exception, for the project or the whole studio."""

    limit = PlainText(max_length=60)
    value = PlainText(max_length=60, required=False)
    reach = PlainText(max_length=20, required=False)
    reason = PlainText(max_length=250, required=False)
    replaces = RowNumber()


class SendForm(forms.Form):
    """A reason for each exception, in a field for each; one for all that are left empty; a note."""

    common = PlainText(max_length=4000, required=False, label="The same reason for all")
    note = PlainText(max_length=2000, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.data:
            if name.startswith(WHY):
                self.fields[name] = PlainText(max_length=4000, required=False, label="Why")

    @staticmethod
    def reasons(cleaned: dict[str, Any]) -> dict[str, str]:
        """The reason of each finding, by its key."""
        return {
            name.removeprefix(WHY): text or cleaned["common"] for name, text in cleaned.items() if name.startswith(WHY)
        }


class StepForm(forms.Form):
    """A step of a revision's way that needs no page of its own."""

    step = forms.ChoiceField(choices=[(name, name) for name in STEPS if name not in ("send", "sign", "issue")])
    note = PlainText(max_length=2000, required=False)


class SignForm(forms.Form):
    statement = PlainText(max_length=2000, required=False)
