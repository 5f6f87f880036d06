"""What the published description of the API adds to its operations: how they refuse, and where their rows lead."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, cast

#: Every refusal is one of these, a problem document (RFC 9457); what each status means here.
_REFUSALS = {
    "400": "What was sent is no JSON, or not of the shape that is described.",
    "401": "Nobody's key, link or session came with it, or one that has ended.",
    "403": "The caller may see this, but may not do it.",
    "404": "There is no such row, or it is another studio's.",
    "406": "The answer cannot be given in the form that was asked for.",
    "409": "Not at this stage, or somebody else changed it first; `extra` members say what it is now.",
    "410": "There was such a file, but it is lost; it can be made again.",
    "411": "The request does not say how long it is.",
    "413": "The request is larger than anything that is taken.",
    "415": "What was sent is in a form that is not read.",
    "422": "It has the right shape, but cannot be: `faults` says what, where, and what is expected.",
    "429": "Too many requests. `Retry-After` says after how many seconds again.",
    "503": "The database does not answer just now. `Retry-After` says after how many seconds to ask again.",
}
_OF_ALL = ("400", "401", "403", "404", "406", "409", "422", "429", "503")
_OF_CHANGES = ("411", "413", "415")
_PROBLEM = {
    "type": "object",
    "description": "A problem document (RFC 9457); some have further members.",
    "required": ["type", "title", "status", "code", "detail"],
    "properties": {
        "type": {"type": "string"},
        "title": {"type": "string"},
        "status": {"type": "integer", "minimum": 400, "maximum": 599},
        "code": {"type": "string", "description": "The kind of refusal, for programs."},
        "detail": {"type": "string", "description": "What is wrong and how to correct it, for people."},
        "faults": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["where", "detail"],
                "properties": {"where": {"type": "string"}, "detail": {"type": "string"}},
            },
        },
    },
}
_WAIT = {"Retry-After": {"schema": {"type": "integer", "minimum": 0}, "description": "Seconds."}}


def complete(result: dict[str, Any], generator: Any, request: Any, public: bool) -> dict[str, Any]:
    """Adds to each operation its refusals, and to what makes a row the operations on that row (a hook)."""
    components = result["components"]
    components["schemas"]["Problem"] = _PROBLEM
    components["responses"] = {
        f"Problem{status}": {
            "description": words,
            "content": {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}},
        }
        | ({"headers": _WAIT} if status in ("429", "503") else {})
        for status, words in _REFUSALS.items()
    }
    for _path, method, operation in _operations(result):
        told = _REFUSALS.keys() & operation["responses"].keys()
        for status in (*told, *_OF_ALL, *(() if method == "get" else _OF_CHANGES)):
            operation["responses"][status] = {"$ref": f"#/components/responses/Problem{status}"}
        operation["responses"] = dict(sorted(operation["responses"].items()))
    _link(result)
    return cast("dict[str, Any]", _once(result))


def _operations(result: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, methods in result["paths"].items():
        for method, operation in methods.items():
            yield path, method, operation


def _once(part: Any) -> Any:
    """Anything, or nothing, is anything: what is one of both would be neither where it is nothing."""
    if isinstance(part, list):
        return [_once(one) for one in part]
    if not isinstance(part, dict):
        return part
    if part.get("oneOf") == [{}, {"type": "null"}]:
        part = {name: value for name, value in part.items() if name != "oneOf"}
    return {name: _once(value) for name, value in part.items()}


def _link(result: dict[str, Any]) -> None:
    """From the number of a row that was made to whatever can be done with it."""
    for path, method, operation in _operations(result):
        made = operation["responses"].get("201", {}).get("content", {}).get("application/json", {}).get("schema", {})
        shape = result["components"]["schemas"].get(made.get("$ref", "").rpartition("/")[2], {})
        if method != "post" or "id" not in shape.get("properties", {}):
            continue
        links = {
            target["operationId"]: {"operationId": target["operationId"], "parameters": {"id": "$response.body#/id"}}
            for there, _, target in _operations(result)
            if there.startswith(f"{path}/{{id}}") and there.count("{") == 1
        }
        if links:
            operation["responses"]["201"]["links"] = links
