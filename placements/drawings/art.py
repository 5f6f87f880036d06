"""A piece in its frame, with mat and its own soft shadow."""

from __future__ import annotations

from placements.engine.house import Rect

from .given import DrawnPiece
from .pen import INK, SHEET, Box, Kit, Manner, View, boxed, group, n, placed, tag

#: Frame colours as people write them; anything else is drawn as a brown-black wood.
FRAMES = {
    "black": "#26241f",
    "white": "#f4f1ea",
    "cream": "#e9dfc8",
    "oak": "#b98f5c",
    "natural": "#c9a878",
    "maple": "#d0b083",
    "ash": "#cdb894",
    "walnut": "#5d4130",
    "mahogany": "#5b2c22",
    "cherry": "#7f4630",
    "gilt": "#b08d45",
    "gold": "#b08d45",
    "brass": "#ab8a4c",
    "bronze": "#6d5637",
    "silver": "#a9abab",
    "steel": "#8d9297",
    "grey": "#86868a",
    "painted": "#8a8f86",
}
OTHER_FRAME = "#4a4036"
FRAMED_FORMS = frozenset({"painting", "print", "drawing", "photograph", "mirror", "relief"})
MAT = "#f6f1e6"
#: Longer side to shorter from which a picture is wide or tall.
OBLONG = 1.15


def frame_colour(frame: str) -> str | None:
    """The colour of a frame from how people write it; None where there is no frame."""
    words = frame.lower().replace("-", " ").split()
    if not words or words[0] in ("none", "unframed", "no"):
        return None
    return next((FRAMES[word] for word in words if word in FRAMES), OTHER_FRAME)


def draw_piece(piece: DrawnPiece, view: View, manner: Manner, *, picture: bool = True) -> str:
    r = piece.rect
    k = Kit(view, manner)
    round_form = piece.form in ("basket", "clock") and not piece.picture
    if manner.details and not round_form:
        k.parts.append(_shadow(r, view))
    if round_form:
        (_basket if piece.form == "basket" else _clock)(k, r)
    else:
        _framed(k, piece, picture)
    return k.drawn()


def _shadow(r: Rect, view: View) -> str:
    """Soft without a filter, which PDF renderers lack: four offset, faint, growing rectangles."""
    b = view.box(r)
    drop = max(min(b.wide * 0.02, 5), 0.3)
    cast = Box(b.x0 + drop * 0.4, b.y0 + drop * 0.9, b.x1 + drop * 0.4, b.y1 + drop * 0.9)
    parts = [boxed(cast.grown(grow * drop), rx=grow * drop) for grow in (0.0, 0.25, 0.5, 0.8)]
    return group("shadow", "".join(parts), fill=INK, fill_opacity=0.055, stroke="none")


def _framed(k: Kit, piece: DrawnPiece, picture: bool) -> None:
    r = piece.rect
    least = min(r.width, r.height)
    colour = frame_colour(piece.frame) if piece.form in FRAMED_FORMS else None
    edge = (min(piece.frame_mm or max(min(least * 0.045, 45), 12), least * 0.25)) if colour else 0.0
    mat = min(piece.mat_mm or 0.0, (least - 2 * edge) * 0.35)
    if colour:
        k.body(r.left, r.bottom, r.width, r.height, fill=colour)
    inner = Rect(r.left + edge, r.bottom + edge, r.width - 2 * edge, r.height - 2 * edge)
    k.body(inner.left, inner.bottom, inner.width, inner.height, fill=MAT if mat else SHEET)
    sight = Rect(inner.left + mat, inner.bottom + mat, inner.width - 2 * mat, inner.height - 2 * mat)
    if piece.picture and picture:
        shown = {"href": piece.picture, **placed(k.view.box(sight)), "preserveAspectRatio": "xMidYMid slice"}
        k.parts.append(tag("image", shown))
        k.body(sight.left, sight.bottom, sight.width, sight.height, fine=True)
    elif piece.tone and picture:
        k.body(sight.left, sight.bottom, sight.width, sight.height, fill=piece.tone)
    else:
        _blank(k, piece.form, sight)
    if not colour:
        k.body(r.left, r.bottom, r.width, r.height, fill="none")


def _blank(k: Kit, form: str, r: Rect) -> None:
    """What stands in the frame where there is no picture, by form."""
    k.body(r.left, r.bottom, r.width, r.height, fine=True)
    w, h = r.width, r.height
    if form == "mirror":
        k.lines(
            [
                (r.left + w * f, r.bottom + h * 0.45, r.left + w * (f + 0.25), r.bottom + h * 0.8)
                for f in (0.2, 0.28, 0.36)
            ]
        )
    elif form == "textile":
        rows = 7
        k.lines([(r.left, r.bottom + h * i / rows, r.right, r.bottom + h * i / rows) for i in range(1, rows)])
        count = max(6, round(w / 60))
        k.lines(
            [(r.left + w * i / count, r.bottom, r.left + w * i / count, r.bottom + h / rows) for i in range(1, count)]
        )
    elif form in ("relief", "object"):
        k.oval(r.centre_x, r.centre_y, w * 0.32, h * 0.32, fine=True)
        k.oval(r.centre_x, r.centre_y, w * 0.18, h * 0.18, fine=True)
    else:
        MOTIFS.get(form, _painted)(k, r)


def _painted(k: Kit, r: Rect) -> None:
    """Hills under a sun where it is wide, a stem in a vase where it is tall, fruit where it is neither."""
    w, h = r.width, r.height
    if w > h * OBLONG:
        low, high = r.bottom + h * 0.38, r.bottom + h * 0.62
        k.path(
            "M", (r.left, low), "Q", (r.left + w * 0.3, high), (r.left + w * 0.55, r.bottom + h * 0.4),
            "Q", (r.left + w * 0.8, r.bottom + h * 0.24), (r.right, r.bottom + h * 0.46), fine=True,
        )  # fmt: skip
        k.oval(r.left + w * 0.68, r.bottom + h * 0.68, min(w, h) * 0.08, min(w, h) * 0.08, fine=True)
    elif h > w * OBLONG:
        foot, neck, x = r.bottom + h * 0.18, r.bottom + h * 0.42, r.centre_x
        k.path("M", (x - w * 0.06, neck), "Q", (x - w * 0.2, foot + h * 0.1), (x - w * 0.1, foot), fine=True)
        k.path("M", (x + w * 0.06, neck), "Q", (x + w * 0.2, foot + h * 0.1), (x + w * 0.1, foot), fine=True)
        k.lines([(r.left + w * 0.15, foot, r.right - w * 0.15, foot)])
        k.path("M", (x, neck), "Q", (x - w * 0.05, r.bottom + h * 0.6), (x + w * 0.06, r.bottom + h * 0.74), fine=True)
        k.oval(x + w * 0.07, r.bottom + h * 0.78, w * 0.09, w * 0.09, fine=True)
    else:
        for across, up, size in ((0.4, 0.42, 0.15), (0.6, 0.38, 0.11), (0.53, 0.58, 0.09)):
            k.oval(r.left + w * across, r.bottom + h * up, w * size, w * size, fine=True)
        k.lines([(r.left + w * 0.12, r.bottom + h * 0.27, r.right - w * 0.12, r.bottom + h * 0.27)])


def _printed(k: Kit, r: Rect) -> None:
    """The mark of the plate, and flat bands along its longer side."""
    inset = min(r.width, r.height) * 0.12
    plate = Rect(r.left + inset, r.bottom + inset, r.width - 2 * inset, r.height - 2 * inset)
    k.body(plate.left, plate.bottom, plate.width, plate.height, fill="none", fine=True)
    for share in (0.28, 0.46, 0.72):
        if plate.width >= plate.height:
            up = plate.bottom + plate.height * share
            k.lines([(plate.left, up, plate.right, up)])
        else:
            along = plate.left + plate.width * share
            k.lines([(along, plate.bottom, along, plate.top)])


def _drawn(k: Kit, r: Rect) -> None:
    """A few strokes of one hand."""
    w, h = r.width, r.height
    for start, bend, end in (
        ((0.2, 0.3), (0.45, 0.9), (0.75, 0.55)),
        ((0.28, 0.24), (0.55, 0.66), (0.8, 0.36)),
        ((0.4, 0.2), (0.6, 0.42), (0.72, 0.22)),
    ):
        points = [(r.left + w * across, r.bottom + h * up) for across, up in (start, bend, end)]
        k.path("M", points[0], "Q", points[1], points[2], fine=True)


def _photographed(k: Kit, r: Rect) -> None:
    """Peaks behind a straight horizon."""
    w, h = r.width, r.height
    horizon = r.bottom + h / 3
    peaks = ((0.1, 0.32, 0.54), (0.54, 0.7, 0.9)) if w >= h else ((0.12, 0.5, 0.88),)
    k.lines([(r.left, horizon, r.right, horizon)])
    for left, top, right in peaks:
        summit = (r.left + w * top, horizon + h * (0.36 if w >= h else 0.28))
        k.lines(
            [
                (r.left + w * left, horizon, *summit),
                (*summit, r.left + w * right, horizon),
            ]
        )


#: What stands in for a picture, by form; a painting's for any other.
MOTIFS = {"print": _printed, "drawing": _drawn, "photograph": _photographed}


def _basket(k: Kit, r: Rect) -> None:
    k.oval(r.centre_x, r.centre_y, r.width / 2, r.height / 2)
    for f in (0.38, 0.26, 0.14, 0.05):
        k.oval(r.centre_x, r.centre_y, r.width * f, r.height * f, fine=True)


def _clock(k: Kit, r: Rect) -> None:
    k.oval(r.centre_x, r.centre_y, r.width / 2, r.height / 2)
    k.oval(r.centre_x, r.centre_y, r.width * 0.44, r.height * 0.44, fine=True)
    k.line(r.centre_x, r.centre_y, r.centre_x, r.centre_y + r.height * 0.34, fine=False)
    k.line(r.centre_x, r.centre_y, r.centre_x + r.width * 0.22, r.centre_y - r.height * 0.08, fine=False)


def selection(r: Rect, view: View, manner: Manner) -> str:
    """Corner ticks and a centre cross on the piece that the reader works on."""
    b = view.box(r)
    gap, arm = manner.outline * 4, manner.outline * 11
    x0, y0, x1, y1 = b.x0 - gap, b.y0 - gap, b.x1 + gap, b.y1 + gap
    cx, cy, c = (b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2, manner.outline * 5
    d = "".join(
        f"M{n(x)} {n(y + sy * arm)}V{n(y)}H{n(x + sx * arm)}"
        for x, y, sx, sy in ((x0, y0, 1, 1), (x1, y0, -1, 1), (x0, y1, 1, -1), (x1, y1, -1, -1))
    )
    d += f"M{n(cx - c)} {n(cy)}H{n(cx + c)}M{n(cx)} {n(cy - c)}V{n(cy + c)}"
    return tag(
        "path",
        {"class": "selection", "d": d, "fill": "none", "stroke": "#8a3d2b", "stroke-width": manner.outline * 1.4},
    )
