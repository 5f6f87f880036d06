"""The engine's front door: everything that the rest of the project may ask it."""

from .assess import assess_wall
from .comparing import rank, rank_spaces, why_not
from .proposal import propose
from .spaces import find_spaces
from .worth import worth_of

__all__ = ["assess_wall", "find_spaces", "propose", "rank", "rank_spaces", "why_not", "worth_of"]
