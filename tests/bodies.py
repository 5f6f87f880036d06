"""Bodies that the published description of the API asks for, filled with sensible values; and their single values."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from typing import Any

from drf_spectacular.generators import SchemaGenerator

from tests.pictures import jpeg
from tests.world import PK

Path = tuple[str | int, ...]
_TEXTS = {
    "date-time": "2026-03-31T10:00:00Z",
    "date": "2026-03-31",
    "uuid": "00000000-0000-0000-0000-000000000001",
    "email": "a@b.example",
}
JSON, FORM = "application/json", "multipart/form-data"


def operations(*, whole: bool = True) -> Iterator[tuple[str, str, dict[str, Any], Any]]:
    """Method, address at the row that is there, the operation, and a body in JSON or as a form; None without one.

    A body has all fields, or only those that it must have.
    """
    description = SchemaGenerator().get_schema(request=None, public=True)
    shapes = description["components"]["schemas"]
    for path, methods in description["paths"].items():
        for method, operation in methods.items():
            content = operation.get("requestBody", {}).get("content", {})
            kind = JSON if JSON in content else FORM if FORM in content else None
            body = sensible(content[kind]["schema"], shapes, whole) if kind else None
            yield method, re.sub(r"{[^}]+}", str(PK), path), operation, body


def sensible(shape: dict[str, Any], shapes: dict[str, Any], whole: bool = True) -> Any:
    """A value of a shape: the world's row for each whole number, the first of what may be chosen."""
    if "$ref" in shape:
        return sensible(shapes[shape["$ref"].rpartition("/")[2]], shapes, whole)
    for choice in ("oneOf", "anyOf", "allOf"):
        if choice in shape:
            return sensible(shape[choice][0], shapes, whole)
    if "enum" in shape:
        return shape["enum"][0]
    kind = shape.get("type")
    match kind[0] if isinstance(kind, list) else kind:
        case "object":
            fields = shape.get("properties", {})
            wanted = [
                name
                for name, field in fields.items()
                if not field.get("readOnly") and (whole or name in shape.get("required", ()))
            ]
            return {name: sensible(fields[name], shapes, whole) for name in wanted}
        case "array":
            return [sensible(shape["items"], shapes, whole)]
        case "string" if shape.get("format") == "binary":
            return jpeg(size=(640, 600))
        case "string":
            return _TEXTS.get(shape.get("format", ""), "text")
        case found:
            return {"integer": PK, "number": 1000.0, "boolean": True}.get(found or "", {})


def leaves(body: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Every single value of a body, with the way to it."""
    if isinstance(body, dict | list) and body:
        for key, value in body.items() if isinstance(body, dict) else enumerate(body):
            yield from leaves(value, (*path, key))
    else:
        yield path, body


def put(body: Any, path: Path, value: Any) -> Any:
    """The body with one value replaced."""
    changed = copy.deepcopy(body)
    at = changed
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] = value
    return changed
