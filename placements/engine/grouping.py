"""Which pieces on a wall belong together, and in which space they hang as one arrangement."""

from __future__ import annotations

from collections.abc import Sequence

from .arrangement import standing_within
from .geometry import bounding, common, grown
from .groups.around import STANDS_WITHIN, wider_spaces
from .groups.boxes import boxes_of, clusters, keeps_time
from .house import House, Rect
from .results import Hanging, Space, Words
from .rulebook import Rulebook
from .spaces import wall_spaces
from .standing import standing

#: A group that sticks out of a space by no more than this hangs in it [mm].
SLACK_MM = 0.5

#: Pieces that hang as one arrangement, and their space.
Together = tuple[Space, tuple[Hanging, ...]]


def grouped(
    house: House, spaces: Sequence[Space], hangings: Sequence[Hanging], rulebook: Rulebook, words: Words
) -> list[Together]:
    """Which pieces hang in which space as one arrangement, from left to right.

    A group that goes around sconces, lamps or plants hangs in the wider space that takes them in. Any other piece
    belongs to the space that it covers most of, or else to the nearest. Over furniture, in a panel and on a stair all
    pieces of a space are one arrangement; on an open wall those within reach of one another are, and singles that
    hang at even intervals along all of it.

    spaces : those of one wall, at least one; hangings : pieces on that wall
    """
    found = _around(house, spaces, hangings, rulebook, words)
    taken = {hanging.work for _, pieces in found for hanging in pieces}
    by_space: dict[str, list[Hanging]] = {}
    for hanging in hangings:
        if hanging.work not in taken:
            by_space.setdefault(_home(rect_of(house, hanging), spaces).id, []).append(hanging)
    for space in spaces:
        pieces = by_space.get(space.id, [])
        if space.kind == "open_wall":
            found += [(space, cluster) for cluster in _in_time(house, space, pieces) or _clusters(house, pieces)]
        elif pieces:
            found.append((space, tuple(pieces)))
    return sorted(found, key=lambda one: min(piece.left for piece in one[1]))


def hung_today(house: House) -> list[Hanging]:
    """Where the works themselves say that they hang, in the order of the inventory."""
    return [Hanging(work.id, work.hung.wall, work.hung.left, work.hung.bottom) for work in house.works if work.hung]


def house_as_hung(
    house: House, hangings: Sequence[Hanging], rulebook: Rulebook, words: Words
) -> tuple[tuple[Space, ...], list[Together]]:
    """The spaces of a house while these pieces hang, wall by wall, and the arrangements that they make.

    What stands makes none.
    """
    stands = {one.work.id for one in standing(house, hangings)}
    spaces: list[Space] = []
    arrangements: list[Together] = []
    for _, wall in house.walls():
        on_wall = wall_spaces(house, wall, rulebook, words)
        here = [hanging for hanging in hangings if hanging.wall == wall.id and hanging.work not in stands]
        found = grouped(house, on_wall, here, rulebook, words) if on_wall and here else []
        spaces += spaces_in_use(on_wall, found)
        arrangements += found
    return tuple(spaces), arrangements


def spaces_in_use(spaces: Sequence[Space], found: Sequence[Together]) -> tuple[Space, ...]:
    """A wall's spaces as they are while these arrangements hang.

    The wider space of a group that goes around something takes the place of those that it covers and that are empty.
    """
    used = {space.id: space for space, _ in found}
    wider = [space for space in used.values() if space.id not in {space.id for space in spaces}]
    left = [
        space
        for space in spaces
        if space.id in used or not any(common(space.rect, other.rect) is not None for other in wider)
    ]
    return tuple(sorted((*left, *wider), key=lambda space: (space.rect.left, space.rect.bottom, space.id)))


def _around(
    house: House, spaces: Sequence[Space], hangings: Sequence[Hanging], rulebook: Rulebook, words: Words
) -> list[Together]:
    """The groups that go around what stands on the wall, each in its wider space."""
    wall = house.wall_by_id[spaces[0].wall]
    if len(hangings) < 2 or not any(item.kind in STANDS_WITHIN for item in wall.items):
        return []
    wider = {space.id: space for space in wider_spaces(house, wall, spaces, rulebook, words).values()}
    found: list[Together] = []
    left = list(hangings)
    for space in wider.values():
        standing = [grown(rect, -SLACK_MM) for rect in standing_within(wall, space, rulebook.margins)]
        inside = [hanging for hanging in left if _covered(rect_of(house, hanging), space.rect) > 0.5]
        for cluster in _clusters(house, inside):
            if len(cluster) > 1 and _goes_around(
                [rect_of(house, hanging) for hanging in cluster], space, standing, spaces
            ):
                found.append((space, cluster))
                left = [hanging for hanging in left if hanging not in cluster]
    return found


def _goes_around(pieces: Sequence[Rect], wider: Space, standing: Sequence[Rect], spaces: Sequence[Space]) -> bool:
    """Whether a group hangs in the wider space: it lies in no space by itself, and either all of it hangs clear there
    or it takes in what stands there and belongs to several spaces.
    """
    outline = bounding(pieces)
    if any(lies_within(outline, space.rect) for space in spaces):
        return False
    clear = not any(common(piece, rect) for piece in pieces for rect in standing)
    several = len({_home(piece, spaces).id for piece in pieces}) > 1
    return (clear and lies_within(outline, wider.rect)) or (several and any(common(outline, rect) for rect in standing))


def _clusters(house: House, pieces: Sequence[Hanging]) -> list[tuple[Hanging, ...]]:
    """Pieces joined by reach, in the order given."""
    boxes = boxes_of(rect_of(house, hanging) for hanging in pieces)
    return [tuple(pieces[i] for i in joined) for joined in clusters(boxes)]


def _in_time(house: House, space: Space, pieces: Sequence[Hanging]) -> list[tuple[Hanging, ...]]:
    """All pieces as one, where they are singles at even intervals; else nothing."""
    boxes = boxes_of(rect_of(house, hanging) for hanging in pieces)
    ends = space.reach.left, space.reach.right
    return [tuple(pieces)] if len(pieces) > 1 and keeps_time(boxes, ends) else []


def _home(rect: Rect, spaces: Sequence[Space]) -> Space:
    def nearness(space: Space) -> tuple[float, float]:
        return _covered(rect, space.rect), -_apart(rect, space.rect)

    return max(spaces, key=nearness)


def _covered(rect: Rect, area: Rect) -> float:
    """The share of a rectangle that lies in an area."""
    shared = common(rect, area)
    return shared.width * shared.height / (rect.width * rect.height) if shared else 0.0


def _apart(rect: Rect, other: Rect) -> float:
    """The gap between two rectangles along the axis that parts them most, 0 where they touch or overlap [mm]."""
    across = max(rect.left - other.right, other.left - rect.right, 0.0)
    along = max(rect.bottom - other.top, other.bottom - rect.top, 0.0)
    return max(across, along)


def lies_within(rect: Rect, area: Rect) -> bool:
    """Whether a rectangle lies wholly in an area, but for half a millimetre."""
    free = grown(area, SLACK_MM)
    across = free.left <= rect.left and rect.right <= free.right
    return across and free.bottom <= rect.bottom and rect.top <= free.top


def rect_of(house: House, hanging: Hanging) -> Rect:
    """A piece at its place.

    Raises:
        KeyError: an unknown work.
    """
    work = house.work_by_id[hanging.work]
    return Rect(hanging.left, hanging.bottom, work.width, work.height)
