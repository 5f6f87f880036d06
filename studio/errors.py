"""What a service raises when it cannot do what it was asked, and how that reads on a page and in the API.

A service raises one of these few; `studio.problems` turns them into a page for people and into one
`application/problem+json` shape (RFC 9457) for programs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any


class ServiceError(Exception):
    """Something the caller can read and correct. `faults` lists every fault found, as {"where", "detail"}."""

    status = 400
    code = "refused"
    title = "That could not be done"

    def __init__(
        self, detail: str, *, faults: Sequence[Mapping[str, str]] = (), extra: Mapping[str, Any] | None = None
    ) -> None:
        super().__init__(detail)
        self.detail = detail
        self.faults = [dict(fault) for fault in faults]
        self.extra = dict(extra or {})


class Invalid(ServiceError):
    """The input itself is wrong: what was given, where, and what is expected."""

    status = 422
    code = "invalid"
    title = "Something here must be corrected"


class NotAllowed(ServiceError):
    """The object is the caller's to see, but not theirs to change like this."""

    status = 403
    code = "not-allowed"
    title = "Your role does not allow this"


class Missing(ServiceError):
    """There is no such thing, or it is another studio's: the answer is the same."""

    status = 404
    code = "missing"
    title = "Not found"


class TooLarge(ServiceError):
    """More is sent than anything here takes."""

    status = 413
    code = "too-large"
    title = "Too large"


class LengthNeeded(ServiceError):
    """The caller does not say how much it sends."""

    status = 411
    code = "length-needed"
    title = "Length needed"


class WrongState(ServiceError):
    """The object is not in a state that allows this."""

    status = 409
    code = "wrong-state"
    title = "Not at this stage"


class Conflict(ServiceError):
    """Somebody else changed this first. `extra` carries the newer state, so that the caller can choose."""

    status = 409
    code = "conflict"
    title = "Somebody else changed this first"


class TooMany(ServiceError):
    """More than one caller may ask in a while; `wait_s` says after how many seconds again."""

    status = 429
    code = "too-many"
    title = "Too many at once"

    def __init__(self, detail: str, *, wait_s: int) -> None:
        super().__init__(detail)
        self.wait_s = wait_s


class Unavailable(ServiceError):
    """The database, or the store of files, does not answer just now."""

    status = 503
    code = "unavailable"
    title = "Not available just now"

    def __init__(self, what: str = "database") -> None:
        super().__init__(f"The {what} does not answer. What was saved is safe. Try again in a few seconds.")


class Broken(ServiceError):
    """A fault of ours."""

    status = 500
    code = "broken"
    title = "Something broke on our side"

    def __init__(self) -> None:
        super().__init__("The error is recorded. What was saved before is safe; this request was not carried out.")


class StoreAway(OSError):
    """The store of files refused, or did not answer. What a disk cannot do is an `OSError`, too."""
