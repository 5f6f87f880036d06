"""A survey: one job as a file carries it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from placements.engine.house import House

FileUnits = Literal["in", "cm", "mm"]
FORMAT = "overmantel-survey"
VERSION = 1
#: An id, as it may stand in an address and in the database.
ID_PATTERN = "^[A-Za-z0-9_-]{1,60}$"


@dataclass(frozen=True, slots=True)
class ArtExtra:
    """What a file may say of a piece that the engine does not need. Lengths in mm; `facts` by their headings."""

    frame_width: float | None = None
    mat: float | None = None
    storage: str = ""
    picture: str = ""
    medium: str = ""
    facts: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Survey:
    """The client, the project and the house, with the units that the file is written in.

    `extras` holds the works that have any, by id. `picture` in them is a path beside the survey file.
    """

    client: str
    project: str
    house: House
    units: FileUnits = "in"
    address: str = ""
    extras: Mapping[str, ArtExtra] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a file: where, what was found, and what is expected there."""

    path: str
    found: str
    expected: str

    @property
    def detail(self) -> str:
        return f"found {self.found}, expected {self.expected}" if self.found else f"expected {self.expected}"

    def __str__(self) -> str:
        return f"{self.path or 'the file'}: {self.detail}"


class SurveyError(Exception):
    """A survey that cannot be used, with every fault in it."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in faults))
