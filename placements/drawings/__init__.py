"""A wall's elevation as SVG, to scale, from plain numbers: pages, phone, paper and thumbnails share it.

Input is in millimetres, in the engine's wall coordinates (origin lower left, y up). Output is in drawing units:
CSS pixels at nominal size on screen, millimetres of paper on a sheet. Nothing here knows a model or a request.
Colours and weights are presentation attributes, so that a PDF renderer needs no stylesheet, and every part carries
a class, so that a page's stylesheet can recolour it for the night sheet.
"""

from .elevation import draw_elevation
from .given import DrawnPiece, Elevation, Flag, Guide, Mark, Running, Under
from .pen import HAND, PAPER, PHONE, SCREEN, STRIP, THUMBNAIL, Manner

__all__ = [
    "HAND",
    "PAPER",
    "PHONE",
    "SCREEN",
    "STRIP",
    "THUMBNAIL",
    "DrawnPiece",
    "Elevation",
    "Flag",
    "Guide",
    "Manner",
    "Mark",
    "Running",
    "Under",
    "draw_elevation",
]
