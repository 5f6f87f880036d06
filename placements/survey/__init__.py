"""The survey file: one job in one JSON document, read with all its faults and written back losing nothing."""

from .colours import colour_of
from .model import ArtExtra, Fault, Survey, SurveyError
from .pictures import pictures_beside
from .proposal import proposal_to_json
from .reading import read_survey
from .schema import SCHEMA_PATH, schema
from .writing import as_text, save, write_survey

__all__ = [
    "SCHEMA_PATH",
    "ArtExtra",
    "Fault",
    "Survey",
    "SurveyError",
    "as_text",
    "colour_of",
    "pictures_beside",
    "proposal_to_json",
    "read_survey",
    "save",
    "schema",
    "write_survey",
]
