"""A plain elevation of one wall as SVG: what stands there as outlines, what hangs there as framed tones."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from placements.engine.house import House, Item, Rect, Wall, Work
from placements.engine.results import Hanging

from .proposing import INCH

MATS = {
    "painting": "#b9c4cf",
    "print": "#f4efe2",
    "drawing": "#efe9d8",
    "photograph": "#9aa0a6",
    "textile": "#d9c3a5",
    "mirror": "#dfeef0",
    "relief": "#cdb8a8",
    "basket": "#d8bf8d",
    "clock": "#ffffff",
    "object": "#c9d3bb",
}
FRAMES = {"black": "#222222", "oak": "#a8793d", "gilt": "#b08d2e", "white": "#bdbdbd", "walnut": "#5d4030"}
#: What makes an axis that the eye looks for.
GOVERNS = ("sofa", "bed", "console", "sideboard", "dresser", "desk", "piano", "mantel", "television", "bench", "chest")
BEHIND = ("panel", "niche", "window", "door", "opening", "radiator")


def wall_svg(house: House, wall: Wall, hangings: Iterable[Hanging], scale: float) -> str:
    """The wall at `scale` [pixels a millimetre]. A dotted line marks 60 in, dash-dotted ones what governs."""
    pad = 6.0
    wide, high = wall.length * scale, wall.height * scale
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide + 2 * pad:.0f}" height="{high + 2 * pad:.0f}"'
        f' viewBox="{-pad} {-pad} {wide + 2 * pad:.1f} {high + 2 * pad:.1f}" font-family="DejaVu Sans,sans-serif">',
        f'<rect width="{wide:.1f}" height="{high:.1f}" fill="{_ground(wall)}" stroke="#333" stroke-width="1.4"/>',
        f'<path d="M0 {high - 60 * INCH * scale:.1f}H{wide:.1f}" stroke="#c98" stroke-width=".6"'
        ' stroke-dasharray="1 4"/>',
    ]
    for item in sorted(wall.items, key=lambda one: one.kind not in BEHIND):
        parts.append(_item(item, _box(item.rect, wall, scale)))
    if wall.rail:
        x0, y0, x1, y1 = (one * scale for one in (wall.rail.from_x, wall.rail.from_y, wall.rail.to_x, wall.rail.to_y))
        parts.append(f'<path d="M{x0:.1f} {high - y0:.1f}L{x1:.1f} {high - y1:.1f}" stroke="#555" stroke-width="2"/>')
    for item in wall.items:
        if item.kind in GOVERNS:
            x = item.rect.centre_x * scale
            parts.append(
                f'<path d="M{x:.1f} 0V{high:.1f}" stroke="#38a" stroke-width=".5" stroke-dasharray="8 3 1.5 3"/>'
            )
    for one in hangings:
        if one.wall == wall.id:
            work = house.work_by_id[one.work]
            parts.append(_work(work, _box(Rect(one.left, one.bottom, work.width, work.height), wall, scale)))
    return "".join(parts) + "</svg>"


def _ground(wall: Wall) -> str:
    return {"patterned_wallpaper": "#e9e1ee", "brick": "#f0ddd3", "stone": "#e4e4e0"}.get(wall.finish, "#fcfaf5")


def _box(rect: Rect, wall: Wall, scale: float) -> tuple[float, float, float, float]:
    """x, y (down), width, height in pixels."""
    return rect.left * scale, (wall.height - rect.top) * scale, rect.width * scale, rect.height * scale


def _item(item: Item, box: tuple[float, float, float, float]) -> str:
    x, y, w, h = box
    fill = "#444" if item.kind == "television" else "#fff" if item.kind in BEHIND else "#e8e4da"
    opacity = ".35" if item.kind == "panel" else ".9"
    shape = (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{w:.1f}" height="{h:.1f}" fill="{fill}" fill-opacity="{opacity}"'
        ' stroke="#777" stroke-width=".8"/>'
    )
    if item.kind == "window":
        shape += f'<path d="M{x + w / 2:.1f} {y:.1f}v{h:.1f}M{x:.1f} {y + h / 2:.1f}h{w:.1f}" stroke="#9bd"/>'
    if item.kind == "door":
        shape += (
            f'<path d="M{x:.1f} {y:.1f}L{x + w:.1f} {y + h / 2:.1f}L{x:.1f} {y + h:.1f}" fill="none" stroke="#bbb"/>'
        )
    if w > 18 and h > 8 and item.kind not in ("panel", "television"):
        shape += _text(item.kind.replace("_", " "), x + w / 2, y + h - 3, w, 7, "#999")
    return f"<g>{shape}</g>"


def _work(work: Work, box: tuple[float, float, float, float]) -> str:
    x, y, w, h = box
    rim = min(3.0, w / 6, h / 6)
    frame, mat = FRAMES.get(work.frame, "#6b5b4b"), MATS.get(work.form, "#ddd")
    return (
        f'<g><title>{escape(work.title)}</title><rect x="{x:.1f}" y="{y:.1f}" width="{w:.1f}" height="{h:.1f}"'
        f' fill="{frame}"/><rect x="{x + rim:.1f}" y="{y + rim:.1f}" width="{w - 2 * rim:.1f}"'
        f' height="{h - 2 * rim:.1f}" fill="{mat}"/>'
        + _text(work.id, x + w / 2, y + h / 2 + 2.5, w, 8, "#111")
        + "</g>"
    )


def _text(text: str, x: float, y: float, wide: float, size: float, fill: str) -> str:
    """Lettering that shrinks to its width, down to 4 pixels; what still does not fit loses its middle."""
    size = max(4.0, min(size, wide / (0.62 * len(text))))
    most = max(3, int(wide / (0.62 * size)))
    if len(text) > most:
        text = text[: most - 2] + text[-2:]
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:.1f}" fill="{fill}" text-anchor="middle">{escape(text)}</text>'
    )
