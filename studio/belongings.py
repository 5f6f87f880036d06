"""What belongs to a studio: each model of the site has its rows here, or its reason why it has none.

The export writes these rows and the deletion leaves none of them. A model that is neither scoped to a studio nor named
in `NOBODYS` is a fault, which `way` raises and a test finds.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from django.apps import apps
from django.contrib.admin.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db.models import Model, Q, QuerySet
from simple_history.utils import get_history_model_for_model

from .models import Studio
from .models.base import Owned

#: Models, or whole apps, whose rows are no studio's, and what becomes of those that a studio's end concerns.
NOBODYS = {
    "studio.user": "a person may be in several studios; who is in none any more goes with the last",
    "studio.user_groups": "as the person",
    "studio.user_user_permissions": "as the person",
    "studio.apitoken": "a person's; one for this studio alone goes with it",
    "studio.taskrecord": "what ran when: the site's",
    "studio.workerseen": "which workers live: the site's",
    "account": "a person's addresses: they go with the person",
    "mfa": "a person's second factors: they go with the person",
    "usersessions": "a person's sign-ins: they go with the person",
    "sessions": "sign-ins: those of a person that goes are ended",
    "axes": "sign-ins that were refused: those of a person that goes are deleted",
    "auth": "kinds of permission, which the site has",
    "contenttypes": "kinds of rows, which the site has",
    "easy_thumbnails": "where thumbnails lie: made again from the pictures, deleted with them",
}


class Undecided(LookupError):
    """Nobody has said whether this model's rows belong to a studio."""


def is_nobodys(model: type[Model]) -> bool:
    return model._meta.label_lower in NOBODYS or model._meta.app_label in NOBODYS


def models_of_studios() -> list[type[Model]]:
    """Every model with rows that belong to a studio, records of changes and links between rows included."""
    return [model for model in apps.get_models(include_auto_created=True) if not is_nobodys(model)]


@cache
def _tracked() -> dict[type[Model], type[Model]]:
    """Of each record of changes the model whose changes it keeps."""
    return {get_history_model_for_model(model): model for model in apps.get_models() if hasattr(model, "history")}


class Belongings:
    """The rows of one studio, those included that only the record of changes still knows."""

    def __init__(self, studio: Studio) -> None:
        self._studio = studio.pk
        self._numbers: dict[type[Model], set[Any]] = {}

    def rows(self, model: type[Model]) -> QuerySet[Model]:
        """The studio's rows of a model.

        Raises:
            Undecided: the model is neither a studio's nor named as nobody's.
        """
        rows = model._base_manager.order_by("pk")
        if model is Studio:
            return rows.filter(pk=self._studio)
        if issubclass(model, Owned):
            return rows.filter(**{model.studio_path: self._studio})
        if model in _tracked():
            return rows.filter(Q(id__in=self._ever(_tracked()[model])) | self._by_links(model))
        if model is LogEntry:
            return rows.filter(self._logged())
        if model._meta.auto_created:
            return rows.filter(self._by_links(model))
        raise Undecided(f"Say whose {model._meta.label} is: make it Owned, or name it in studio.belongings.")

    def _ever(self, model: type[Model]) -> set[Any]:
        """The numbers of the studio's rows of a model, as far as rows or records of changes know them."""
        if model not in self._numbers:
            self._numbers[model] = set(self.rows(model).values_list("pk", flat=True))
            if record := next((record for record, kept in _tracked().items() if kept is model), None):
                found = record._base_manager.filter(self._by_links(record, but=model))
                self._numbers[model] |= set(found.values_list("id", flat=True))
        return self._numbers[model]

    def _by_links(self, model: type[Model], but: type[Model] | None = None) -> Q:
        """Rows that point to a row of the studio's."""
        found = Q(pk__in=[])
        for field in model._meta.concrete_fields:
            to: Any = field.related_model
            if to is not None and to is not but and (to is Studio or issubclass(to, Owned)):
                found |= Q(**{f"{field.attname}__in": self._ever(to)})
        return found

    def _logged(self) -> Q:
        """What was done in the admin to a row of the studio's."""
        found = Q(pk__in=[])
        for model in models_of_studios():
            if model is Studio or issubclass(model, Owned):
                kind = ContentType.objects.get_for_model(model)
                found |= Q(content_type=kind, object_id__in=[str(number) for number in self._ever(model)])
        return found
