"""Ways to hang a wall as the comparing page shows them: small on the shelf, large side by side to the same scale."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from placements.differences import PieceChange
from placements.drawings import STRIP
from placements.engine.names import listed
from placements.engine.results import Assessment
from placements.pieces import same_place
from placements.selectors import options as select
from placements.selectors import walls
from placements.selectors.options import Loss, Way
from placements.selectors.walls import WallInHand
from studio.units import Units
from studio.words import sentence

from .drawn import SheetRoom, small_elevation, studio_picture
from .wall import FindingNote, WallPicture, space_name, wall_picture

#: Drawing units a millimetre of the small elevations on the shelf.
SHELF_SCALE = 0.042


@dataclass(frozen=True, slots=True)
class Card:
    """One way on the shelf; `first` and `second` say whether it is on that side now."""

    way: Way
    drawing: SafeString
    score: str
    first: bool
    second: bool


@dataclass(frozen=True, slots=True)
class Side:
    """One way in full, drawn for each room that the page may have. `here` and `elsewhere` say what taking it would
    change; empty for the wall as it hangs. `better` is what speaks for it against the other side, `cost` what it takes
    to hang."""

    way: Way
    side: str
    picture: WallPicture
    drawings: tuple[SafeString, ...]
    score: str
    places: tuple[tuple[str, str, int], ...]
    here: tuple[str, ...]
    elsewhere: tuple[str, ...]
    why: str
    better: tuple[str, ...]
    cost: str
    state: str

    @property
    def is_now(self) -> bool:
        return self.way.key == "now"

    @property
    def asking(self) -> tuple[FindingNote, ...]:
        """What somebody must do something about: stops and exceptions."""
        return tuple(note for note in self.picture.findings if note.level != "note")

    @property
    def notes(self) -> tuple[FindingNote, ...]:
        return tuple(note for note in self.picture.findings if note.level == "note")

    @property
    def asks_why(self) -> bool:
        """Whether a reason must be given first: leaving bare is a statement to the client."""
        return self.way.key == "bare"


def cards_of(hand: WallInHand, ways: Sequence[Way], units: Units, chosen: tuple[str, str]) -> list[Card]:
    cards = []
    for way in ways:
        _, assessment = walls.assess(hand, units, pieces=way.hung, bares=way.bares)
        drawing = small_elevation(
            hand.wall,
            way.hung,
            scale=SHELF_SCALE,
            manner=STRIP,
            picture_url=studio_picture,
            key=f"shelf-{way.key}",
        )
        cards.append(Card(way, drawing, score_of(assessment), way.key == chosen[0], way.key == chosen[1]))
    return cards


def side_of(
    hand: WallInHand,
    way: Way,
    units: Units,
    *,
    side: str,
    space: str,
    rooms: Sequence[SheetRoom],
    why: str = "",
    better: tuple[str, ...] = (),
    cost: str,
) -> Side:
    scene, assessment = walls.assess(hand, units, pieces=way.hung, bares=way.bares)
    titles = {scene.work_code[piece.artwork.pk]: piece.artwork.title for piece in way.hung}
    names = {space.id: space_name(space) for space in assessment.spaces} | {
        stand.id: stand.name for stand in assessment.stands
    }
    places = tuple(
        (
            names[arrangement.space],
            ", ".join(titles[piece.work] for piece in arrangement.pieces),
            round(arrangement.score),
        )
        for arrangement in assessment.arrangements
        if arrangement.pieces
    )
    pictures = [
        wall_picture(
            wall=hand.wall,
            hung=way.hung,
            assessment=assessment,
            scene=scene,
            units=units,
            space_id=space,
            bares=way.bares,
            interactive=False,
            manner=room.manner,
            width=room.width,
            height=room.height,
            key=f"w{hand.wall.pk}-{side}",
        )
        for room in rooms
    ]
    return Side(
        way=way,
        side=side,
        picture=pictures[0],
        drawings=tuple(picture.drawing for picture in pictures),
        score=score_of(assessment),
        places=places,
        here=tuple(_here(hand, way, units)) if way.key != "now" else (),
        elsewhere=tuple(_elsewhere(hand, way, units)) if way.key != "now" else (),
        why=sentence(why) if why else "",
        better=better,
        cost=cost,
        state=json.dumps(select.state_of(way)),
    )


def score_of(assessment: Assessment) -> str:
    """The mean of what hangs, or a word where nothing does."""
    scores = [arrangement.score for arrangement in assessment.arrangements if arrangement.pieces]
    if scores:
        return str(round(sum(scores) / len(scores)))
    return "bare" if any(arrangement.kind == "bare" for arrangement in assessment.arrangements) else "empty"


def _here(hand: WallInHand, way: Way, units: Units) -> list[str]:
    now = {piece.artwork.pk: piece for piece in hand.pieces}
    then = {piece.artwork.pk: piece for piece in way.hung}
    comes = [piece.artwork.title for pk, piece in then.items() if pk not in now]
    goes = [piece.artwork.title for pk, piece in now.items() if pk not in then]
    said = [f"{listed(comes)} {'comes' if len(comes) == 1 else 'come'} here."] if comes else []
    said += [f"{listed(goes)} {'comes' if len(goes) == 1 else 'come'} down."] if goes else []
    for pk in now.keys() & then.keys():
        a, b = now[pk], then[pk]
        if not same_place(a, b):
            said.append(PieceChange("moved", b.artwork, a, b).text(units))
    said += ["It is no longer left bare." for space in hand.bares if space not in way.bares]
    if way.gone:
        pieces = "One piece is" if way.gone == 1 else f"{way.gone} pieces are"
        said.append(f"{pieces} not in the inventory any more and left out.")
    return said or ["Nothing: it hangs the same."]


def _elsewhere(hand: WallInHand, way: Way, units: Units) -> list[str]:
    """What the rest of the plan gains and loses."""
    losses = select.losses_of(hand, way, units)
    said = [_lost(loss) for loss in losses]
    stay = {piece.artwork.pk for piece in way.hung}
    free = [piece.artwork.title for piece in hand.pieces if piece.artwork.pk not in stay]
    if free:
        said.append(f"{listed(free)} {'goes' if len(free) == 1 else 'go'} back among the unplaced works.")
    return said or ["Nothing."]


def _lost(loss: Loss) -> str:
    titles, where = (
        listed([artwork.title for artwork in loss.works]),
        f"{loss.wall} in the {loss.wall.room.name.lower()}",
    )
    before, after = score_of(loss.before), score_of(loss.after)
    leave = f"{titles} {'leaves' if len(loss.works) == 1 else 'leave'} {where}"
    if not any(arrangement.pieces for arrangement in loss.after.arrangements):
        return f"{leave}, where nothing would hang (now {before})."
    more = len(loss.after.findings) - len(loss.before.findings)
    found = f", {abs(more)} finding{'s' if abs(more) > 1 else ''} {'more' if more > 0 else 'fewer'}" if more else ""
    return f"{leave}: {before} becomes {after}{found}."
