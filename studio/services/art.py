"""The art: adding, changing, one by one or many at once. A version counts every change of a piece."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from django.db import transaction
from django.db.models import Q, QuerySet
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from studio import access
from studio.errors import Invalid, Missing, WrongState
from studio.models import Artwork, Client, Project, Studio, User
from studio.units import HEAVIEST_KG

from .checks import clean, expect_lengths, expect_version, free_code, refuse, set_fields

FIELDS = (
    *(
        "title",
        "maker",
        "form",
        "medium",
        "facts",
        "width_mm",
        "height_mm",
        "depth_mm",
        "weight_kg",
        "frame",
        "frame_width_mm",
    ),
    *("mat_width_mm", "themes", "glazed", "light", "hang_kind", "hang_below_top_mm", "hang_inset_mm"),
    *("hang_length_mm", "hang_spacing_mm", "set_name", "locked_to", "storage"),
    *("hung_wall", "hung_left_mm", "hung_bottom_mm"),
)
#: What is changed for many pieces at once: nothing that is one piece's own measure.
BULK_FIELDS = ("maker", "form", "frame", "themes", "glazed", "light", "set_name", "storage", "client", "project")
#: What each kind of hardware is measured by.
HANG_MEASURES: Mapping[str, tuple[str, ...]] = {
    "": (),
    "wire": ("hang_below_top_mm", "hang_inset_mm", "hang_length_mm"),
    "two_rings": ("hang_below_top_mm", "hang_spacing_mm"),
    "sawtooth": ("hang_below_top_mm",),
    "cleat": ("hang_below_top_mm",),
    "keyholes": ("hang_below_top_mm", "hang_spacing_mm"),
    "ring": ("hang_below_top_mm",),
    "straps": ("hang_below_top_mm", "hang_spacing_mm"),
    "security": ("hang_below_top_mm", "hang_spacing_mm"),
    "batten": ("hang_below_top_mm",),
    "rods": ("hang_below_top_mm", "hang_spacing_mm"),
    "easel": (),
    "lean": (),
}
#: What may be measured besides: how long the half on the wall is.
HANG_LENGTHS = ("cleat", "batten")
_MEASURES = ("hang_below_top_mm", "hang_inset_mm", "hang_length_mm", "hang_spacing_mm")
_MOST_THEMES = 20
_MOST_FACTS = 60


@transaction.atomic
def artwork_create(
    *,
    by: User,
    studio: Studio,
    client: Client | None = None,
    project: Project | None = None,
    code: str = "",
    **fields: Any,
) -> Artwork:
    """A piece of a client's, for one project where given, or of the studio's own stock."""
    access.require(by=by, studio=studio, roles=access.EVERYONE, to="add art")
    artwork = artwork_build(studio=studio, client=client, project=project, code=code, **fields)
    return _save(artwork, by)


def artwork_build(
    *, studio: Studio, client: Client | None, project: Project | None, code: str = "", **fields: Any
) -> Artwork:
    """A piece that has been checked but not stored: what an import previews.

    Raises:
        Invalid: with every fault.
    """
    artwork = Artwork(studio=studio, client=client or (project.client if project else None), project=project)
    _expect_owner(artwork)
    set_fields(artwork, fields, FIELDS)
    artwork.code = code or free_code(same_owner(artwork), artwork.title, "piece")
    artwork_check(artwork)
    return artwork


@transaction.atomic
def artworks_store(*, by: User, added: list[Artwork], changed: list[Artwork]) -> None:
    """Store pieces of a list that were built, or changed, and checked: all or none.

    Args:
        changed: rows that the caller has locked.
    """
    for studio in {artwork.studio for artwork in (*added, *changed)}:
        access.require(by=by, studio=studio, roles=access.EVERYONE, to="add art")
    bulk_create_with_history(added, Artwork, default_user=by, default_change_reason="imported", batch_size=500)
    for artwork in changed:
        artwork.version += 1
    fields = [*FIELDS, "version"]
    bulk_update_with_history(
        changed, Artwork, fields, default_user=by, default_change_reason="imported again", batch_size=500
    )


@transaction.atomic
def artwork_update(*, by: User, artwork: Artwork, version: int | None, **changes: Any) -> Artwork:
    """Change a piece that is still at `version`; `client` and `project` say whose it is.

    Raises:
        Conflict: somebody changed it since; `extra["current"]` carries the newer state.
    """
    access.require(by=by, studio=artwork.studio, roles=access.EVERYONE, to="change art")
    locked = Artwork.objects.select_for_update(of=("self",)).select_related("studio").get(pk=artwork.pk)
    expect_version(locked, version, artwork_state(locked))
    set_fields(locked, changes, (*FIELDS, "client", "project"))
    if "project" in changes and locked.project and "client" not in changes:
        locked.client = locked.project.client
    _expect_owner(locked)
    artwork_check(locked)
    locked.version += 1
    return _save(locked, by)


@transaction.atomic
def artworks_update(*, by: User, studio: Studio, pks: Iterable[int], **changes: Any) -> int:
    """Make the same change to many pieces of a studio, all or none; how many there were.

    Raises:
        Missing: one of them is not this studio's.
        Invalid: with the fault of every piece that cannot take the change.
    """
    access.require(by=by, studio=studio, roles=access.EVERYONE, to="change art")
    wanted = set(pks)
    artworks = list(Artwork.objects.select_for_update(of=("self",)).filter(studio=studio, pk__in=wanted).order_by("pk"))
    if len(artworks) != len(wanted):
        raise Missing("Some of these pieces are not in your studio, or have been deleted. Nothing was changed.")
    faults = []
    for artwork in artworks:
        set_fields(artwork, changes, BULK_FIELDS)
        artwork.version += 1
        try:
            _expect_owner(artwork)
            artwork_check(artwork)
        except Invalid as error:
            faults += [
                {"where": artwork.title, "detail": f"{fault['where']}: {fault['detail']}"} for fault in error.faults
            ]
    refuse(faults, "Some of these pieces")
    bulk_update_with_history(
        artworks, Artwork, [*changes, "version"], default_user=by, default_change_reason="changed together"
    )
    return len(artworks)


@transaction.atomic
def artwork_delete(*, by: User, artwork: Artwork) -> None:
    """Delete a piece that no plan mentions."""
    access.require(by=by, studio=artwork.studio, roles=access.DESIGN, to="delete art")
    if artwork.placements.exists():
        raise WrongState(f"“{artwork}” hangs in a plan, now or in an earlier revision: it cannot be deleted.")
    artwork.delete()


@transaction.atomic
def artwork_apart(*, by: User, artwork: Artwork, others: Iterable[Artwork]) -> None:
    """Say which pieces never share a room with this one."""
    access.require(by=by, studio=artwork.studio, roles=access.DESIGN, to="change art")
    chosen = list(others)
    if any(other.studio_id != artwork.studio_id or other.pk == artwork.pk for other in chosen):
        raise Missing("Some of these pieces are not in your studio.")
    artwork.apart.set(chosen)


def artwork_state(artwork: Artwork) -> dict[str, Any]:
    """A piece as plain data: what the loser of a race compares with."""
    plain = (name for name in FIELDS if name != "hung_wall")
    return {
        "version": artwork.version,
        "client": artwork.client_id,
        "project": artwork.project_id,
        "hung_wall": artwork.hung_wall_id,
        **{name: getattr(artwork, name) for name in plain},
    }


def same_owner(artwork: Artwork) -> QuerySet[Artwork]:
    """The pieces among which a code is used once: the project's, the client's, or the studio's stock."""
    if artwork.project_id:
        scope = Q(project=artwork.project_id)
    elif artwork.client_id:
        scope = Q(client=artwork.client_id, project__isnull=True)
    else:
        scope = Q(studio=artwork.studio_id, client__isnull=True, project__isnull=True)
    return Artwork.objects.filter(scope).exclude(pk=artwork.pk)


def artwork_check(artwork: Artwork) -> None:
    """Everything that one piece says of itself must make sense.

    Raises:
        Invalid: with every fault.
    """
    values = vars(artwork)
    kind_measures = HANG_MEASURES.get(artwork.hang_kind, ())
    for name in _MEASURES:
        if name not in kind_measures and not (name == "hang_length_mm" and artwork.hang_kind in HANG_LENGTHS):
            setattr(artwork, name, None)
    faults = expect_lengths(
        values,
        above_zero=("width_mm", "height_mm", "frame_width_mm", "mat_width_mm", "hang_length_mm", "hang_spacing_mm"),
        from_zero=("depth_mm", "hang_below_top_mm", "hang_inset_mm", "hung_left_mm", "hung_bottom_mm"),
    )
    faults += [_fault(name, "is needed") for name in ("width_mm", "height_mm", "depth_mm") if values[name] is None]
    if artwork.weight_kg is not None and not (
        math.isfinite(artwork.weight_kg) and 0 < artwork.weight_kg <= HEAVIEST_KG
    ):
        faults.append(_fault("weight_kg", f"expected a weight above zero and at most {HEAVIEST_KG:g} kg"))
    faults += [
        _fault(name, f"is needed to know where a {artwork.get_hang_kind_display().lower()} hangs")
        for name in kind_measures
        if values[name] is None
    ]
    themes = artwork.themes
    if not isinstance(themes, list) or len(themes) > _MOST_THEMES or not all(_is_theme(theme) for theme in themes):
        faults.append(_fault("themes", f"expected at most {_MOST_THEMES} words of at most 40 characters"))
    if not _are_facts(artwork.facts):
        faults.append(
            _fault("facts", f"expected at most {_MOST_FACTS} lines, each a heading and at most 2,000 characters")
        )
    if not faults:
        faults = _contradictions(artwork)
    refuse(faults, f"“{artwork.title}”" if artwork.title else "This piece")
    clean(artwork, f"“{artwork.title}”")


def _are_facts(facts: Any) -> bool:
    return (
        isinstance(facts, dict)
        and len(facts) <= _MOST_FACTS
        and all(isinstance(said, str) and 0 < len(name) <= 80 and len(said) <= 2000 for name, said in facts.items())
    )


def _is_theme(theme: Any) -> bool:
    return isinstance(theme, str) and 0 < len(theme.strip()) <= 40 and '"' not in theme


def _contradictions(artwork: Artwork) -> list[dict[str, str]]:
    faults = []
    border = 2 * ((artwork.frame_width_mm or 0) + (artwork.mat_width_mm or 0))
    if border >= min(artwork.width_mm, artwork.height_mm):
        faults.append(_fault("frame_width_mm", "frame and mat together leave nothing to see"))
    if (artwork.hang_below_top_mm or 0) >= artwork.height_mm:
        faults.append(_fault("hang_below_top_mm", "must be less than the piece is high"))
    if 2 * (artwork.hang_inset_mm or 0) >= artwork.width_mm:
        faults.append(_fault("hang_inset_mm", "must be less than half the piece's width"))
    if (artwork.hang_spacing_mm or 0) > artwork.width_mm:
        faults.append(_fault("hang_spacing_mm", "must not be more than the piece's width"))
    hung = (artwork.hung_wall_id, artwork.hung_left_mm, artwork.hung_bottom_mm)
    if any(one is None for one in hung) and any(one is not None for one in hung):
        faults.append(
            _fault("hung_wall", "say on which wall it hangs today, how far along and how high, or none of it")
        )
    return faults


def _expect_owner(artwork: Artwork) -> None:
    """Client, project and wall of a piece are all of its studio, and the project is the client's."""
    client, project, wall = artwork.client, artwork.project, artwork.hung_wall
    if client is not None and client.studio_id != artwork.studio_id:
        raise Missing("There is no such client in your studio.")
    if project is not None and (client is None or project.client_id != client.pk):
        raise Invalid("This project is another client's.", faults=[_fault("project", "choose one of the client's own")])
    if wall is not None and access.studio_of(wall).pk != artwork.studio_id:
        raise Missing("There is no such wall in your studio.")


def _fault(where: str, detail: str) -> dict[str, str]:
    return {"where": where, "detail": detail}


def _save(artwork: Artwork, by: User) -> Artwork:
    artwork._history_user = by
    artwork.save()
    return artwork
