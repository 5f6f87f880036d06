"""The demo's walls as Chromium sets them: no lettering over an item, a piece or other lettering."""

from __future__ import annotations

import pytest

from placements.drawings import SCREEN, DrawnPiece, Elevation, Guide, draw_elevation
from placements.engine.facade import find_spaces
from placements.engine.house import Rect
from studio.units import Units
from tests.e2e.designer import demo_house

pytestmark = pytest.mark.browser

MEASURE = """() => {
  const box = (node) => { const b = node.getBoundingClientRect(); return [b.left, b.top, b.right, b.bottom]; };
  const meets = (a, b) => a[0] < b[2] - 1 && b[0] < a[2] - 1 && a[1] < b[3] - 1 && b[1] < a[3] - 1;
  const faults = [];
  for (const svg of document.querySelectorAll("svg")) {
    const texts = [...svg.querySelectorAll("text")].map((node) => [node.textContent, box(node)]);
    const things = [...svg.querySelectorAll(".item:not(.panel), .piece")]
      .map((node) => [node.getAttribute("class"), box(node)]);
    for (const [text, a] of texts)
      for (const [thing, b] of things) if (meets(a, b)) faults.push(`${svg.id}: ${text} on ${thing}`);
    texts.forEach(([one, a], i) => texts.slice(i + 1).forEach(([other, b]) => {
      if (meets(a, b)) faults.push(`${svg.id}: ${one} on ${other}`);
    }));
  }
  return faults;
}"""


def _inside(r: Rect) -> Rect:
    return Rect(r.centre_x - r.width * 0.3, r.bottom + r.height * 0.2, r.width * 0.6, r.height * 0.5)


@pytest.mark.parametrize("name", ["marlow-house", "marlow-boathouse", "fennimore-hall"])
def test_lettering_is_clear_on_every_demo_wall(browser, name):
    house = demo_house(name)
    drawn = []
    for _, wall in house.walls():
        spaces = [one for one in find_spaces(house) if one.wall == wall.id]
        pieces = tuple(DrawnPiece(one.id, "A piece", _inside(one.rect)) for one in spaces)[:3]
        band = Guide("eye_line", Rect(0, 1524, wall.length, 152.4), "eye line\n60–66″")
        given = Elevation(wall, pieces, guides=(band,), measured=tuple(piece.id for piece in pieces))
        drawn.append(draw_elevation(given, manner=SCREEN, words=Units("ft_in"), width=960, height=640))
    page = browser.new_page(viewport={"width": 1000, "height": 800})
    page.set_content("<body>" + "".join(drawn))
    assert page.locator("svg").count() == len(drawn)
    assert page.evaluate(MEASURE) == []
    page.close()
