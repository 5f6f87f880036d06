"""The studio's domain: people, clients, rooms, walls with their items, and the art."""

from .clients import Client, Project
from .furniture import ItemKind, WallItem
from .inventory import Artwork, Form, HangKind, LightClass
from .lists import ArtList, ListState
from .people import ApiToken, Invitation, KeyScope, Membership, Paper, Role, Studio, UnitStyle, User
from .rooms import Build, Finish, Room, RoomUse, Wall
from .running import TaskRecord, WorkerSeen

__all__ = [
    "ApiToken",
    "ArtList",
    "Artwork",
    "Build",
    "Client",
    "Finish",
    "Form",
    "HangKind",
    "Invitation",
    "ItemKind",
    "KeyScope",
    "LightClass",
    "ListState",
    "Membership",
    "Paper",
    "Project",
    "Role",
    "Room",
    "RoomUse",
    "Studio",
    "TaskRecord",
    "UnitStyle",
    "User",
    "Wall",
    "WallItem",
    "WorkerSeen",
]
