"""Which photographs with the works set into them the client sees."""

from __future__ import annotations

from typing import Literal

from django.db import transaction

from placements import access
from placements.models import Photo
from studio.errors import Invalid
from studio.models import User, Wall


@transaction.atomic
def client_photo_choose(*, by: User, wall: Wall, choice: Photo | Literal["newest", "none"]) -> None:
    """Show the client the newest photograph of a wall that fits the plan (as without a choice), a certain one, or none.

    Raises:
        Invalid: the photograph is another wall's, or no works were set into it.
    """
    studio = wall.room.project.client.studio
    access.require(by=by, studio=studio, roles=access.EVERYONE, to="choose what the client sees")
    photos = wall.photos.exclude(shown="")
    if isinstance(choice, Photo) and not photos.filter(pk=choice.pk).exists():
        raise Invalid("Choose a photograph of this wall into which works were set.")
    photos.update(for_client=None if choice == "newest" else False)
    if isinstance(choice, Photo):
        photos.filter(pk=choice.pk).update(for_client=True)
