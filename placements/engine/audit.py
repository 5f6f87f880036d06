"""What hangs today, judged as it hangs, with its remedies where they are wanted."""

from __future__ import annotations

from .assess import stock_of
from .grouping import house_as_hung, hung_today
from .house import House
from .remedies import remedies
from .results import Audit, Words
from .rulebook import Rulebook
from .standing import arrangement_of, standing


def audit(house: House, rulebook: Rulebook, words: Words, *, with_remedies: bool = True) -> tuple[Audit, ...]:
    """Every work that hangs today (`hung`), in the order of the inventory."""
    hung = hung_today(house)
    spaces, arrangements = house_as_hung(house, hung, rulebook, words)
    stock = stock_of(house, hung, spaces, arrangements, rulebook, words)
    found: dict[str, Audit] = {}
    for stood in standing(house, hung):
        told = arrangement_of(stood, words)
        found[stood.work.id] = Audit(stood.work.id, told.wall, told.score, told.findings, ())
    for space, pieces in arrangements:
        judged = stock.judge(space, pieces)
        offered = remedies(stock, space, pieces, judged) if with_remedies else ()
        for hanging in pieces:
            own = tuple(finding for finding in judged.findings if hanging.work in finding.works or not finding.works)
            found[hanging.work] = Audit(hanging.work, space.wall, judged.score, own, offered)
    for one in hung:
        found.setdefault(one.work, Audit(one.work, one.wall, 0.0, (), ()))
    return tuple(found[hanging.work] for hanging in hung)
