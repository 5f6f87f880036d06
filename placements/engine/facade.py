"""The engine's front door: everything that the rest of the project may ask it, and what it answers in.

Outside the engine only this module and those named in `PUBLIC` are imported; `tests/placements/engine/test_facade.py`
holds that. Everything else may change without a look at pages, sheets or the API.
"""

from .appraisal.appraise import appraise
from .appraisal.compare import better
from .assess import assess_wall
from .bands import nearness
from .comparing import rank, rank_spaces, why_not
from .composing import with_findings
from .fixings import greatest_weight_kg
from .grouping import lies_within
from .groups.around import AROUND, wider_spaces
from .groups.compose import Composed, compose
from .groups.mixed import Edge
from .groups.regularise import from_corners, regularise
from .groups.sequence import sequence
from .groups.setting import GroupLimits, Site
from .hanging.wire import G
from .obstacles import bearer_below
from .proposal import propose
from .scoring import pairing
from .spaces import find_spaces, wall_spaces
from .standing import standing
from .worth import worth_of

#: What is asked and answered in: plain data and its words, by module.
PUBLIC = (
    "colour",
    "errors",
    "fixings",
    "geometry",
    "groups.edit",
    "groups.layout",
    "hanging.as_hung",
    "hanging.cautions",
    "hanging.fasten",
    "hanging.grips",
    "hanging.points",
    "hanging.studs",
    "house",
    "names",
    "precedence",
    "results",
    "rule",
    "rulebook",
    "stairs",
    "taste",
    "tolerances",
)

__all__ = [
    "AROUND",
    "PUBLIC",
    "Composed",
    "Edge",
    "G",
    "GroupLimits",
    "Site",
    "appraise",
    "assess_wall",
    "bearer_below",
    "better",
    "compose",
    "find_spaces",
    "from_corners",
    "greatest_weight_kg",
    "lies_within",
    "nearness",
    "pairing",
    "propose",
    "rank",
    "rank_spaces",
    "regularise",
    "sequence",
    "standing",
    "wall_spaces",
    "why_not",
    "wider_spaces",
    "with_findings",
    "worth_of",
]
