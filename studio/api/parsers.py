"""JSON bodies, read as everywhere else."""

from __future__ import annotations

from typing import Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

from studio.errors import Invalid
from studio.inputs import read_json


class PlainJson(JSONParser):
    def parse(self, stream: Any, media_type: str | None = None, parser_context: Any = None) -> Any:
        """The body's value. Raises ParseError: it is no JSON; see `read_json`."""
        try:
            return read_json(stream.read())
        except Invalid as fault:
            raise ParseError(fault.detail) from None
