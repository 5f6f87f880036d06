"""Who may do what with a plan: `studio.access`, with the plan's own short cuts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from studio.access import DESIGN, EVERYONE, OFFICE, PRINCIPAL, acting_studio, get, require, role_in, visible
from studio.models import Project, Studio

if TYPE_CHECKING:
    from .models import Revision

__all__ = [
    "DESIGN",
    "EVERYONE",
    "OFFICE",
    "PRINCIPAL",
    "acting_studio",
    "get",
    "project_of",
    "require",
    "role_in",
    "studio_of",
    "visible",
]


def studio_of(project: Project) -> Studio:
    return project.client.studio


def project_of(revision: Revision) -> Project:
    return revision.plan.project
