"""The published JSON Schema of the survey file."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

SCHEMA_PATH = Path(__file__).with_name("survey-1.schema.json")


@cache
def schema() -> dict[str, Any]:
    """The schema as a document (JSON Schema 2020-12)."""
    document: dict[str, Any] = json.loads(SCHEMA_PATH.read_text())
    return document
