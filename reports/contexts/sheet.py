"""The installation sheets: a cover for the whole job, then one wall a page. All texts set, nothing left to work out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, hypot
from typing import Any

from placements.engine.facade import G
from placements.engine.hanging.cautions import Caution, sheet_cautions
from placements.engine.hanging.points import OUTER_SCREW_MM, rail_above
from placements.engine.house import House, Wall
from placements.engine.names import listed, small
from placements.engine.stairs import climbs, nosings, slope_of, tread_at
from placements.engine.tolerances import Tolerances
from studio.units import Units

from .detail import Detail, details
from .drawing import Place, draw_wall, level_mm, placed
from .pieces import SOLID, UNKNOWN_STUDS, Hook, JobPiece, fixing_text
from .scales import IMPERIAL, METRIC

#: The paper's size [mm].
PAPERS = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
#: A roll for full-size templates: what is cut off it is 200 in at most in a PDF (ISO 32000-1, annex C.2); 36 in wide.
ROLL = {"roll": (5000.0, 914.4)}
#: The general cautions that each wall's page repeats; the cover has them all.
ON_EVERY_WALL = ("ladders", "masonry-dust", "old-paint")

#: A wire is rated for at least so many times its pull: common practice, no source.
WIRE_FACTOR = 4
#: Common practice, no source.
ON_STAIRS = (
    "On the stair work from a platform that stands level over the treads and is made for it, never from a ladder on "
    "the treads; a second person holds and hands up, and nobody uses the stair below."
)
TOOLS = (
    "tape measure",
    "2 ft level",
    "pencil and low-tack tape",
    "plumb bob or laser line",
    "step ladder",
    "clean cotton gloves",
    "drop cloth and vacuum",
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
    level: str
    nail: str
    stud: str
    fixing: str
    load: str


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
    edges: str
    picture: str
    picture_note: str
    hooks: tuple[HookRow, ...]
    stands: str
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
    page: str
    details: tuple[Detail, ...]
    bearer: str
    slope: bool
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
    hardware: tuple[tuple[int, int, str, str], ...]
    spares: tuple[str, ...]
    tools: tuple[str, ...]
    loading: tuple[LoadPlace, ...]
    mismatches: tuple[tuple[str, str], ...]
    cautions: tuple[Caution, ...]
    tolerance: str
    check_bar: str
    check_bar_mm: float
    crew: tuple[str, ...]
    level_line: str
    piece_count: int
    carried: Mapping[str, Any] | None


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
    places: Mapping[str, Place] | None = None,
    carried: Mapping[str, Any] | None = None,
) -> InstallSheets:
    """The sheets of a job, or of one wall.

    Args:
        places: the room for each wall's drawing, by the wall's id, as a first layout without drawings left it; None for
            that layout
        storage: where each work waits, by its id
        pictures: the key of each work's thumbnail, by its id
        unreadable: why a work's picture cannot be shown, by its id
        carried: the revision before, the numbers of what hangs right already, and what changes, wall by wall; or None
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
            _wall_sheet(wall, room.name, here, units, paper, pictures, unreadable, places) for room, wall, here in walls
        ),
        hardware=with_spares(pick_list(shown)),
        spares=spares(shown, units),
        tools=tools(shown),
        loading=loading(shown, storage, units),
        mismatches=MISMATCHES,
        cautions=tuple(common.values()),
        tolerance=tolerance_text(tolerances, units),
        check_bar="100 mm" if units.metric else "4″",
        check_bar_mm=100.0 if units.metric else 101.6,
        crew=crew(shown, units),
        level_line=units.length(level_mm(units)),
        piece_count=len(shown),
        carried=carried,
    )


def _wall_sheet(
    wall: Wall,
    room: str,
    pieces: Sequence[JobPiece],
    units: Units,
    paper: str,
    pictures: Mapping[str, str],
    unreadable: Mapping[str, str],
    places: Mapping[str, Place] | None,
) -> WallSheet:
    # A first layout has no drawing, and the widest label of a scale.
    scale, page, svg = max(METRIC if units.metric else IMPERIAL, key=lambda one: len(one.label)), "", ""
    if places is not None:
        scale, page, svg = placed(
            wall, places[wall.id], PAPERS[paper], units, lambda scale: draw_wall(wall, pieces, units, scale, pictures)
        )
    bearers = {small(piece.bearer.name) for piece in pieces if piece.bearer}
    slope = climbs(wall.rail)
    return WallSheet(
        anchor=wall.id,
        room=room,
        name=wall.name,
        size=units.size(wall.length, wall.height),
        build=wall.build,
        studs=_studs(wall, units),
        scale=scale.label,
        svg=svg,
        page=page,
        details=details(pieces, units, PAPERS[paper]),
        bearer="Above the nosings" if slope else f"Above {'/'.join(sorted(bearers))}" if bearers else "",
        slope=slope,
        pieces=tuple(_piece_rows(piece, units, pictures, unreadable) for piece in pieces),
        mind=mind(pieces),
        cautions=(
            *((Caution("stair", ON_STAIRS),) if slope else ()),
            *(caution for caution in sheet_cautions(wall.build) if caution.code in ON_EVERY_WALL),
        ),
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


def _studs(wall: Wall, units: Units) -> str:
    """What is known behind the face, and of a stair before it."""
    treads = ""
    if climbs(wall.rail):
        treads = (
            f"{len(nosings(wall.rail))} nosings by the rail's rise, counted from the foot: count them before using them"
        )
    if wall.build in SOLID:
        return treads
    return f"{_stud_facts(wall, units)}; {treads}" if treads else _stud_facts(wall, units)


def _stud_facts(wall: Wall, units: Units) -> str:
    if wall.studs is None:
        return "studs not surveyed: find them"
    return f"studs (dotted) from {units.length(wall.studs.first)} every {units.length(wall.studs.spacing)}"


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
        edges=edges_text(piece, units),
        picture=pictures.get(work.id, ""),
        picture_note=unreadable.get(work.id, ""),
        hooks=tuple(_hook_row(hook, piece.wall, units) for hook in piece.points),
        stands=piece.stands,
        check=units.length(piece.check_mm) if piece.check_mm is not None else "",
        from_before=from_before(piece, units),
        notes=piece_notes(piece, units),
    )


def weight_text(piece: JobPiece, units: Units) -> str:
    """The weight, or the upper estimate that it is planned for."""
    known = piece.work.weight_kg is not None
    text = units.weight(piece.hooks.weight_kg)
    return text if known else f"up to {text}, not weighed"


def _hook_row(hook: Hook, wall: Wall, units: Units) -> HookRow:
    choice = hook.fastened.choice
    return HookRow(
        label=hook.label,
        datum=units.length(hook.datum_mm),
        floor=units.length(hook.floor_mm),
        bearer=above_text(hook, wall, units),
        level=from_level(hook.floor_mm, units),
        nail=_nail_text(hook, units),
        stud=stud_text(hook, wall.build, units),
        fixing=fixing_text(choice),
        load=f"{units.weight(choice.load_n / G)} of {units.weight(choice.allowed_n / G)}, factor {choice.factor:.0f}",
    )


def _nail_text(hook: Hook, units: Units) -> str:
    """How high the nail or screw is; of a hanger that has to be measured in the hand that it has; of a rod none."""
    if hook.fastened.choice.grip == "rail":
        return "none"
    return units.length(hook.nail_mm) if hook.nail_mm is not None else "measure yours"


def above_text(hook: Hook, wall: Wall, units: Units) -> str:
    """How high a hook is above what stands below it; on a stair above the line of the nosings, how far along its slope,
    and from the nearest nosing, counted from the foot.
    """
    if not climbs(wall.rail):
        return units.length(hook.bearer_mm) if hook.bearer_mm is not None else ""
    up = units.length(hook.floor_mm - float(tread_at(wall.rail, hook.datum_mm)))
    start, end = sorted((wall.rail.from_x, wall.rail.to_x))
    if not start <= hook.datum_mm <= end:
        return up
    foot = start if slope_of(wall.rail) > 0 else end
    along = abs(hook.datum_mm - foot) * hypot(1.0, slope_of(wall.rail))
    number, (x, y) = min(enumerate(nosings(wall.rail), start=1), key=lambda one: abs(one[1][0] - hook.datum_mm))
    off = units.length(abs(hook.datum_mm - units.rounded(x)))
    side = f"{off} {'right' if hook.datum_mm > x else 'left'}" if abs(hook.datum_mm - x) > 1 else "plumb"
    from_nosing = f"nosing {number}: {side}, {units.length(hook.floor_mm - units.rounded(y))} up"
    return f"{up}; {units.length(along)} along; {from_nosing}"


def from_level(height_mm: float, units: Units) -> str:
    """A height from the level line: above it with a plus, below it with a minus."""
    off = height_mm - level_mm(units)
    return f"+{units.length(off)}" if off > 0 else units.length(off)


def edges_text(piece: JobPiece, units: Units) -> str:
    """The piece's edges, for checking it once it hangs: rounded once from the datums."""
    rect, length = piece.rect, units.length
    text = f"Left edge {length(rect.left)}, middle {length(rect.centre_x)}; top {length(rect.top)}, "
    text += f"middle {length(rect.centre_y)} from the floor"
    return f"{text}; gap {length(piece.gap[0])} to {piece.gap[1]}" if piece.gap else text


def stud_text(hook: Hook, build: str, units: Units) -> str:
    """Whether a hook meets a stud, else where the nearest one is; a solid wall has none."""
    offset = hook.fastened.stud_offset
    if offset is None:
        return "" if build in SOLID or hook.fastened.choice.grip == "rail" else UNKNOWN_STUDS
    if hook.fastened.on_stud:
        return "on stud"
    return f"stud {units.length(abs(offset))} {'right' if offset > 0 else 'left'}"


def piece_notes(piece: JobPiece, units: Units) -> tuple[str, ...]:
    """What is particular about hanging this piece: troubles of its hardware, and a shift that gains a stud."""
    notes = [trouble.text for trouble in piece.hooks.troubles if trouble.code != "not-measured"]
    notes += _of_hardware(piece, units)
    if piece.hooks.tension_n is not None:
        pull = piece.hooks.tension_n / G
        rated = units.weight(WIRE_FACTOR * pull)
        notes.append(f"The wire pulls {units.weight(pull)} on each side: use one rated for {rated} or more.")
    notes += [f"Fit a {extra}." for extra in piece.fastening.extras]
    if piece.moved_mm:
        by = f"{units.length(abs(piece.moved_mm))} {'right' if piece.moved_mm > 0 else 'left'}"
        notes.append(
            f"Its hooks are moved {by} to meet studs: its edges come as much off those given, within tolerance."
        )
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


#: Between the screws of a cleat or a batten where there are no studs [mm]: common practice, no source.
SCREWS_MM = 300.0


def _of_hardware(piece: JobPiece, units: Units) -> list[str]:
    """What its own hardware asks for: a cleat's screws and level edge, the lengths of rods, a single ring's bumpers."""
    kind, hang = piece.hooks.kind, piece.work.hang
    if kind in ("cleat", "batten") and hang is not None:
        solid = piece.wall.build in SOLID
        along = f"{'plugs' if solid else 'studs'} along it"
        screws = f"a screw {units.length(OUTER_SCREW_MM)} in from each end, the others into {along}"
        screws += f", no farther apart than {units.length(SCREWS_MM)}" if solid else ""
        long = f"{units.length(hang.length)} long" if hang.length else "its length not measured"
        which = "The cleat's half on the wall" if kind == "cleat" else "The batten"
        edge = "its upper, bevelled edge" if kind == "cleat" else "its middle line"
        return [f"{which}, {long}: {edge} is level through the points; {screws}."]
    if kind == "rods" and piece.points:
        rail = rail_above(piece.wall, piece.rect.centre_x, piece.rect.top)
        if rail is None:
            return []
        drop = units.length(rail.bottom + rail.height - piece.points[0].floor_mm)
        return [
            f"Rods or cables of {drop} from the top of the picture rail to the points, one at each; nothing is drilled."
        ]
    if kind == "ring":
        return ["One ring lets it turn: put felt bumpers at both lower corners and level it last."]
    if kind == "straps":
        return ["Each strap with all its screws into sound wood of the frame, the rings turned in towards each other."]
    return []


def order_line(piece: JobPiece, units: Units) -> str:
    """How this piece is set out: the first from the datum, each later one checked from the one before it."""
    title = f"{piece.number}, {piece.work.title}"
    if piece.stands:
        left = units.length(piece.rect.left)
        fixed = piece.hardware.rpartition(", ")[2]
        return f"{title}: stands {piece.stands}, its left edge {left} from the left end; {fixed}."
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


def with_spares(picked: Sequence[tuple[int, str, str]]) -> tuple[tuple[int, int, str, str], ...]:
    """The pick list with how many more of each to bring: one in ten, and one at least (common practice, no source)."""
    return tuple((count, ceil(count / 10), name, builds) for count, name, builds in picked)


def spares(pieces: Sequence[JobPiece], units: Units) -> tuple[str, ...]:
    """What goes on the pieces themselves, counted: two bumpers each, a pair of rings for each ten, and wire for the
    heaviest that hangs by one (common practice, no source).
    """
    hung = [piece for piece in pieces if not piece.stands]
    wires = [
        piece for piece in hung if piece.hooks.tension_n is not None and piece.work.hang and piece.work.hang.length
    ]
    found = [f"{2 * len(hung)} felt bumpers", f"{2 * ceil(len(hung) / 10)} rings with their screws"] if hung else []
    if wires:
        rated = max(WIRE_FACTOR * (piece.hooks.tension_n or 0.0) / G for piece in wires)
        longest = max(piece.work.hang.length or 0.0 for piece in wires if piece.work.hang)
        found.append(f"{units.length(2 * longest)} of picture wire rated for {units.weight(rated)} or more")
    return tuple(found)


#: Time to set out, hang and check one piece, and to unload and clear up for a job [min]; a piece that two lift takes
#: half as long again: common practice, no source.
PIECE_MIN, JOB_MIN, LIFTED = 20, 45, 1.5
#: A person reaches so high without a ladder [mm]: common practice, no source.
REACH_MM = 2000.0


def crew(pieces: Sequence[JobPiece], units: Units) -> tuple[str, ...]:
    """People, height of reach and time to plan with."""
    lifted = [piece for piece in pieces if any(caution.code == "two-persons" for caution in piece.cautions)]
    stairs = any(climbs(piece.wall.rail) for piece in pieces)
    minutes = JOB_MIN + PIECE_MIN * (len(pieces) - len(lifted)) + PIECE_MIN * LIFTED * len(lifted)
    top = max((piece.rect.top for piece in pieces), default=0.0)
    people = "Two people" if lifted or stairs else "One person, two where a ladder is used"
    why = f": two lift {listed([str(piece.number) for piece in lifted])}" if lifted else ""
    found = [f"{people}{why}.", f"About {ceil(minutes / 30) / 2:g} hours on site, by 20 minutes a piece."]
    if top > REACH_MM:
        found.append(
            f"The highest edge is {units.length(top)} above the floor: bring a ladder or platform to stand "
            f"{units.length(top - REACH_MM)} up or more."
        )
    return tuple(found)


def tools(pieces: Sequence[JobPiece]) -> tuple[str, ...]:
    """The tools for the whole job: the usual kit first, then what the chosen fixings need."""
    stairs = ("stair platform",) if any(climbs(piece.wall.rail) for piece in pieces) else ()
    needed = {tool: None for piece in pieces for hook in piece.points for tool in hook.fastened.choice.fixing.tools}
    return (*TOOLS, *stairs, *sorted(tool for tool in needed if tool not in TOOLS))


def loading(pieces: Sequence[JobPiece], storage: Mapping[str, str], units: Units) -> tuple[LoadPlace, ...]:
    """The pieces to load on the van, by storage place, those without one last: what hangs last is loaded first, so that
    what hangs first stands at the doors.
    """
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
                for piece in reversed(places[place])
            ),
        )
        for place in sorted(places, key=lambda place: (not place, place.casefold()))
    )
