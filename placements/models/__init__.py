"""Plans and their revisions, what the principal decides, and what people say about them."""

from .dates import CalendarAddress, DateKind, DueDate
from .money import Estimate, PriceList
from .photos import MarkState, Photo, PhotoMark, PhotoPurpose
from .plans import (
    EDITABLE_STATES,
    Bare,
    Option,
    Placement,
    Plan,
    ProposalRun,
    Revision,
    RevisionState,
    RevisionWall,
    RunState,
    Transition,
)
from .removals import Removal
from .review import Decision, Delegation, ReviewFinding, SignOff, Verdict
from .rules import HouseRule
from .talk import ClientAnswer, ClientLink, Comment, Notice

__all__ = [
    "EDITABLE_STATES",
    "Bare",
    "CalendarAddress",
    "ClientAnswer",
    "ClientLink",
    "Comment",
    "DateKind",
    "Decision",
    "Delegation",
    "DueDate",
    "Estimate",
    "HouseRule",
    "MarkState",
    "Notice",
    "Option",
    "Photo",
    "PhotoMark",
    "PhotoPurpose",
    "Placement",
    "Plan",
    "PriceList",
    "ProposalRun",
    "Removal",
    "ReviewFinding",
    "Revision",
    "RevisionState",
    "RevisionWall",
    "RunState",
    "SignOff",
    "Transition",
    "Verdict",
]
