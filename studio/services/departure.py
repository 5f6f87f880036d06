"""A studio leaves: everything of it goes, rows, record, files, and the people who were in no other studio."""

from __future__ import annotations

from django.apps import apps
from django.core.files.storage import default_storage
from django.db import models, transaction
from easy_thumbnails.models import Source
from simple_history.utils import get_history_manager_for_model

from studio import access
from studio.errors import Invalid
from studio.models import Studio, User
from studio.models.base import Owned
from studio.storage import forget_folder


@transaction.atomic
def studio_delete(*, studio: Studio, by: User | None, name: str) -> dict[str, int]:
    """Deletes a studio with all that is its own, and answers how many rows of each kind went.

    Args:
        by: a principal of the studio; None for a command, which asks nobody.
        name: the studio's name, typed again, as the confirmation.

    Raises:
        NotAllowed: by anybody but a principal.
        Invalid: another name.
    """
    if by is not None:
        access.require(by=by, studio=studio, roles=access.PRINCIPAL, to="delete the studio")
    if name.strip() != studio.name:
        detail = f"Type the studio's name as it is written: {studio.name}"
        raise Invalid(f"Nothing was deleted. {detail}", faults=[{"where": "name", "detail": detail}])
    folder, members = f"studios/{studio.pk}", list(studio.members.values_list("pk", flat=True))
    logo = studio.logo.name
    numbers = {model: list(_of(model, studio).values_list("pk", flat=True)) for model in _deepest_first()}
    for model in numbers:
        _of(model, studio).delete()
    for model, gone in numbers.items():
        if hasattr(model, "history"):
            get_history_manager_for_model(model).filter(id__in=gone).delete()
    studio.delete()
    User.objects.filter(pk__in=members, memberships__isnull=True, is_staff=False).delete()
    Source.objects.filter(name__startswith=f"{folder}/").delete()
    transaction.on_commit(lambda: _delete_files(folder, logo))
    return {str(model._meta.verbose_name_plural): len(gone) for model, gone in numbers.items() if gone}


def _deepest_first() -> list[type[Owned]]:
    """Models in an order in which nothing that is still there needs what goes."""
    owned = [model for model in apps.get_models() if issubclass(model, Owned)]
    return sorted(owned, key=lambda model: -model.studio_path.count("__"))


def _of(model: type[Owned], studio: Studio) -> models.QuerySet[Owned]:
    return model._default_manager.filter(**{model.studio_path: studio})


def _delete_files(folder: str, logo: str | None) -> None:
    if logo:
        default_storage.delete(logo)
    for path in (folder, f"thumbnails/{folder}"):
        forget_folder(path)
