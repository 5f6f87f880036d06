"""The installation sheets: a cover for the whole job, then one wall a page. All texts set, nothing left to work out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from placements.engine.facade import G
from placements.engine.hanging.cautions import Caution, sheet_cautions
from placements.engine.house import House, Wall
from placements.engine.names import small
from placements.engine.tolerances import Tolerances
from studio.units import Units

from .drawing import draw_wall
from .pieces import SOLID, Hook, JobPiece, fixing_text
from .scales import Scale, fitting_scale

#: Printed area [mm] by paper: page size less margins.
PAPERS = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
MARGIN_MM = 12.0
#: What a wall's page holds beside its drawing [mm]: heading, cautions, strings, the table's head, the title block; then
#: each piece, each of its hooks, each note, and each pair of cautions about pieces (they stand in two columns).
PAGE_MM, PIECE_MM, HOOK_MM, NOTE_MM, UNMEASURED_MM, MIND_MM = 124.0, 11.5, 7.0, 4.0, 14.0, 7.6
#: A drawing is never shallower or deeper than this [mm].
DRAWING_DEPTH_MM = (30.0, 92.0)
STRINGS_MM = 40.0

#: The general cautions that each wall's page repeats; the cover has them all.
ON_EVERY_WALL = ("ladders", "masonry-dust", "old-paint")

TOOLS = (
    "tape measure",
    "2 ft level",
    "pencil and low-tack tape",
    "plumb bob or laser line",
    "step ladder",
    "clean cotton gloves",
    "drop cloth and vacuum",
    "spare rings, wire and felt bumpers",
    "cable and pipe detector",
)
MISMATCHES = (
    ("The wall is not as drawn", "Measure it, note it on the phone as a problem, and ask before drilling."),
    ("No stud where one is marked", "Use the fixing for the bare wall if it carries the load; otherwise ask."),
    ("A cable, a pipe or an unknown hollow", "Stop. Do not drill. Report it with a photo."),
    ("The piece is damaged or is the wrong one", "Leave it in its wrapping. Report it with a photo."),
    ("The piece does not fit", "Do not move its neighbours to make room. Report it."),
    ("The drop differs from the sheet", "Enter the measured drop on the phone: the hook points follow at once."),
)


@dataclass(frozen=True, slots=True)
class Heading:
    """What every page of the job states."""

    studio: str
    project: str
    client: str
    address: str
    revision: int
    sha256: str
    signed_by: str
    signed_on: str
    issued_to: str
    note: str
    printed_on: str
    link: str
    link_needs_account: bool

    @property
    def short_hash(self) -> str:
        return " ".join(self.sha256[i : i + 4] for i in range(0, 16, 4))


@dataclass(frozen=True, slots=True)
class HookRow:
    label: str
    datum: str
    floor: str
    bearer: str
    stud: str
    fixing: str
    load: str
    trusted: str


@dataclass(frozen=True, slots=True)
class PieceRows:
    """One piece with its hooks; `picture` is the key of its thumbnail, empty where none can be shown."""

    number: int
    title: str
    maker: str
    size: str
    weight: str
    hardware: str
    drop: str
    picture: str
    picture_note: str
    hooks: tuple[HookRow, ...]
    check: str
    from_before: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WallSheet:
    anchor: str
    room: str
    name: str
    size: str
    build: str
    studs: str
    scale: str
    svg: str
    bearer: str
    pieces: tuple[PieceRows, ...]
    mind: tuple[tuple[str, str], ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class LoadPlace:
    """What to load at one storage place: (number, title, size, weight, wall)."""

    place: str
    pieces: tuple[tuple[int, str, str, str, str], ...]


@dataclass(frozen=True, slots=True)
class InstallSheets:
    heading: Heading
    walls: tuple[WallSheet, ...]
    hardware: tuple[tuple[int, str, str], ...]
    tools: tuple[str, ...]
    loading: tuple[LoadPlace, ...]
    mismatches: tuple[tuple[str, str], ...]
    cautions: tuple[Caution, ...]
    tolerance: str
    check_bar: str
    check_bar_mm: float
    piece_count: int


def install_sheets(
    *,
    heading: Heading,
    house: House,
    pieces: Sequence[JobPiece],
    units: Units,
    tolerances: Tolerances,
    paper: str,
    storage: Mapping[str, str],
    pictures: Mapping[str, str],
    unreadable: Mapping[str, str],
    only_wall: str | None = None,
) -> InstallSheets:
    """The sheets of a job, or of one wall.

    Args:
        storage: where each work waits, by its id
        pictures: the key of each work's thumbnail, by its id
        unreadable: why a work's picture cannot be shown, by its id
    """
    walls = [
        (room, wall, here)
        for room, wall in house.walls()
        if (only_wall is None or wall.id == only_wall)
        and (here := [piece for piece in pieces if piece.wall.id == wall.id])
    ]
    shown = [piece for _, _, here in walls for piece in here]
    builds = {wall.build: None for _, wall, _ in walls}
    common = {caution.code: caution for build in builds for caution in sheet_cautions(build)}
    return InstallSheets(
        heading=heading,
        walls=tuple(
            _wall_sheet(wall, room.name, here, units, paper, pictures, unreadable) for room, wall, here in walls
        ),
        hardware=pick_list(shown),
        tools=tools(shown),
        loading=loading(shown, storage, units),
        mismatches=MISMATCHES,
        cautions=tuple(common.values()),
        tolerance=tolerance_text(tolerances, units),
        check_bar="100 mm" if units.metric else "4″",
        check_bar_mm=100.0 if units.metric else 101.6,
        piece_count=len(shown),
    )


def _wall_sheet(
    wall: Wall,
    room: str,
    pieces: Sequence[JobPiece],
    units: Units,
    paper: str,
    pictures: Mapping[str, str],
    unreadable: Mapping[str, str],
) -> WallSheet:
    scale = wall_scale(wall, paper, units, pieces)
    bearers = {small(piece.bearer.name) for piece in pieces if piece.bearer}
    return WallSheet(
        anchor=f"wall-{wall.id}",
        room=room,
        name=wall.name,
        size=units.size(wall.length, wall.height),
        build=wall.build,
        studs=_studs(wall, units),
        scale=scale.label,
        svg=draw_wall(wall, pieces, units, scale=scale, pictures=pictures),
        bearer=f"Above {'/'.join(sorted(bearers))}" if bearers else "",
        pieces=tuple(_piece_rows(piece, units, pictures, unreadable) for piece in pieces),
        mind=mind(pieces),
        cautions=tuple(caution for caution in sheet_cautions(wall.build) if caution.code in ON_EVERY_WALL),
    )


def tolerance_text(tolerances: Tolerances, units: Units) -> str:
    return f"{units.length(tolerances.place)}, and {units.length(tolerances.level)} of level over the piece's width"


def mind(pieces: Sequence[JobPiece]) -> tuple[tuple[str, str], ...]:
    """Each caution once, with the numbers of the pieces that it is about."""
    about: dict[str, list[str]] = {}
    for piece in pieces:
        for caution in piece.cautions:
            about.setdefault(caution.text, []).append(str(piece.number))
    return tuple((", ".join(numbers), text) for text, numbers in about.items())


def wall_scale(wall: Wall, paper: str, units: Units, pieces: Sequence[JobPiece]) -> Scale:
    """The largest scale at which a wall's elevation leaves room for its table on one page of `paper`."""
    width, height = PAPERS[paper]
    table = sum(
        PIECE_MM + HOOK_MM * len(piece.points) + NOTE_MM * len(piece_notes(piece, units)) for piece in pieces
    ) + UNMEASURED_MM * sum(not piece.points for piece in pieces)
    free = height - PAGE_MM - table - MIND_MM * ceil(len(mind(pieces)) / 2)
    least, most = DRAWING_DEPTH_MM
    return fitting_scale(
        wall.length, wall.height, width - 2 * MARGIN_MM - STRINGS_MM, min(max(free, least), most), metric=units.metric
    )


def _studs(wall: Wall, units: Units) -> str:
    if wall.build in SOLID:
        return ""
    if wall.studs is None:
        return "studs not surveyed: find them"
    return f"studs from {units.length(wall.studs.first)} every {units.length(wall.studs.spacing)}"


def _piece_rows(piece: JobPiece, units: Units, pictures: Mapping[str, str], unreadable: Mapping[str, str]) -> PieceRows:
    work = piece.work
    return PieceRows(
        number=piece.number,
        title=work.title,
        maker=work.maker,
        size=units.size(work.width, work.height),
        weight=weight_text(piece, units),
        hardware=piece.hardware,
        drop=units.length(piece.hooks.drop) if piece.hooks.drop is not None else "",
        picture=pictures.get(work.id, ""),
        picture_note=unreadable.get(work.id, ""),
        hooks=tuple(_hook_row(hook, piece.wall.build, units) for hook in piece.points),
        check=units.length(piece.check_mm) if piece.check_mm is not None else "",
        from_before=from_before(piece, units),
        notes=piece_notes(piece, units),
    )


def weight_text(piece: JobPiece, units: Units) -> str:
    """The weight, or the upper estimate that it is planned for."""
    known = piece.work.weight_kg is not None
    text = units.weight(piece.hooks.weight_kg)
    return text if known else f"up to {text}, not weighed"


def _hook_row(hook: Hook, build: str, units: Units) -> HookRow:
    choice = hook.fastened.choice
    return HookRow(
        label=hook.label,
        datum=units.length(hook.datum_mm),
        floor=units.length(hook.floor_mm),
        bearer=units.length(hook.bearer_mm) if hook.bearer_mm is not None else "",
        stud=stud_text(hook, build, units),
        fixing=fixing_text(choice),
        load=f"{units.weight(choice.load_n / G)}, factor {choice.factor:.0f}",
        trusted=units.weight(choice.allowed_n / G),
    )


def stud_text(hook: Hook, build: str, units: Units) -> str:
    """Whether a hook meets a stud, else where the nearest one is; a solid wall has none."""
    offset = hook.fastened.stud_offset
    if offset is None:
        return "" if build in SOLID else "not known"
    if hook.fastened.on_stud:
        return "on stud"
    return f"stud {units.length(abs(offset))} {'right' if offset > 0 else 'left'}"


def piece_notes(piece: JobPiece, units: Units) -> tuple[str, ...]:
    """What is particular about hanging this piece: troubles of its hardware, and a shift that gains a stud."""
    notes = [trouble.text for trouble in piece.hooks.troubles if trouble.code != "not-measured"]
    if piece.hooks.kind == "cleat":
        into = "plugs" if piece.wall.build in SOLID else "studs"
        notes.append(f"The points are on the cleat's level line; set its screws into {into} along it.")
    notes += [f"Fit a {extra}." for extra in piece.fastening.extras]
    shift = piece.fastening.shift
    if shift is not None:
        side = "right" if shift.by > 0 else "left"
        several = len(piece.points) > 1
        gain = (
            f"{shift.hits} of its {len(piece.points)} hooks would meet studs"
            if several
            else "its hook would meet a stud"
        )
        notes.append(
            f"Not moved. {units.length(abs(shift.by))} further {side} {gain}: move it only when the office says so."
        )
    return tuple(notes)


def order_line(piece: JobPiece, units: Units) -> str:
    """How this piece is set out: the first from the datum, each later one checked from the one before it."""
    title = f"{piece.number}, {piece.work.title}"
    if not piece.points:
        return f"{title}: measure its drop first."
    hook = piece.points[0]
    from_datum = f"hook {hook.label} {units.length(hook.datum_mm)} from the left end, {units.length(hook.floor_mm)} up"
    return f"{title}: {from_datum}. {from_before(piece, units)}".strip()


def from_before(piece: JobPiece, units: Units) -> str:
    """The check from the first hook of the piece hung before it; empty where there is none."""
    if piece.before is None or piece.across_mm is None or piece.up_mm is None:
        return ""
    side = "right" if piece.across_mm > 0 else "left"
    across = f"{units.length(abs(piece.across_mm))} {side}" if piece.across_mm else "plumb"
    up = f"{units.length(abs(piece.up_mm))} {'higher' if piece.up_mm > 0 else 'lower'}" if piece.up_mm else "level"
    return f"Check from the first hook of {piece.before}: {across}, {up}."


def pick_list(pieces: Sequence[JobPiece]) -> tuple[tuple[int, str, str], ...]:
    """How many of each fixing to bring for the whole job, with what it is for: (count, name, walls)."""
    count: Counter[str] = Counter()
    builds: dict[str, set[str]] = {}
    for piece in pieces:
        for hook in piece.points:
            name = hook.fastened.choice.name
            count[name] += hook.fastened.choice.count
            builds.setdefault(name, set()).add(piece.wall.build)
        for extra in piece.fastening.extras:
            count[extra] += 1
            builds.setdefault(extra, set()).add(piece.wall.build)
    return tuple((count[name], name, ", ".join(sorted(builds[name]))) for name in sorted(count))


def tools(pieces: Sequence[JobPiece]) -> tuple[str, ...]:
    """The tools for the whole job: the usual kit first, then what the chosen fixings need."""
    needed = {tool: None for piece in pieces for hook in piece.points for tool in hook.fastened.choice.fixing.tools}
    return (*TOOLS, *sorted(tool for tool in needed if tool not in TOOLS))


def loading(pieces: Sequence[JobPiece], storage: Mapping[str, str], units: Units) -> tuple[LoadPlace, ...]:
    """The pieces to load on the van, by storage place; those without one last."""
    places: dict[str, list[JobPiece]] = {}
    for piece in pieces:
        places.setdefault(storage.get(piece.work.id, "").strip(), []).append(piece)
    return tuple(
        LoadPlace(
            place or "Place not recorded",
            tuple(
                (
                    piece.number,
                    piece.work.title,
                    units.size(piece.work.width, piece.work.height),
                    weight_text(piece, units),
                    f"{piece.room.name}, {piece.wall.name}",
                )
                for piece in places[place]
            ),
        )
        for place in sorted(places, key=lambda place: (not place, place.casefold()))
    )
