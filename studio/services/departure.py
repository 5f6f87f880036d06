"""A studio leaves: everything of it goes, rows, record, files, and the people who were in no other studio."""

from __future__ import annotations

from allauth.usersessions.models import UserSession
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.files.storage import default_storage
from django.db import models, transaction
from easy_thumbnails.models import Source

from studio import access
from studio.belongings import Belongings, models_of_studios
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
    theirs = Belongings(studio)
    numbers = {model: list(theirs.rows(model).values_list("pk", flat=True)) for model in models_of_studios()}
    for owned in _deepest_first():
        owned._base_manager.filter(pk__in=numbers[owned]).delete()
    studio.delete()
    for model in models_of_studios():  # the record of changes, this one included, which nothing takes with it
        theirs.rows(model).delete()
    _delete_people(User.objects.filter(pk__in=members, memberships__isnull=True, is_staff=False))
    Source.objects.filter(name__startswith=f"{folder}/").delete()
    transaction.on_commit(lambda: _delete_files(folder, logo))
    return {str(one._meta.verbose_name_plural): len(numbers[one]) for one in _deepest_first() if numbers[one]}


def _delete_people(people: models.QuerySet[User]) -> None:
    """Deletes people with their sign-ins, those that were refused included."""
    Session.objects.filter(session_key__in=UserSession.objects.filter(user__in=people).values("session_key")).delete()
    for model in apps.get_app_config("axes").get_models():
        if "username" in {field.name for field in model._meta.fields}:
            model._base_manager.filter(username__in=people.values("email")).delete()
    people.delete()


def _deepest_first() -> list[type[Owned]]:
    """Models in an order in which nothing that is still there needs what goes."""
    owned = [model for model in apps.get_models() if issubclass(model, Owned)]
    return sorted(owned, key=lambda model: -model.studio_path.count("__"))


def _delete_files(folder: str, logo: str | None) -> None:
    if logo:
        default_storage.delete(logo)
    for path in (folder, f"thumbnails/{folder}"):
        forget_folder(path)
