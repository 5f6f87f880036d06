"""For whoever operates the site: everything of a plan to look at, nothing to change behind the services' backs."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from .models import (
    ClientLink,
    Comment,
    Decision,
    HouseRule,
    Notice,
    Option,
    Photo,
    PhotoMark,
    Placement,
    Plan,
    ProposalRun,
    ReviewFinding,
    Revision,
    SignOff,
    Transition,
)


class ReadOnly(admin.ModelAdmin):
    """Rows are shown; services alone write them."""

    list_per_page = 50
    show_full_result_count = False

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


@admin.register(Plan)
class PlanAdmin(ReadOnly):
    list_display = ("project", "created_at")
    list_select_related = ("project",)
    search_fields = ("project__name", "project__client__name")


@admin.register(Revision)
class RevisionAdmin(ReadOnly):
    list_display = ("plan", "number", "state", "opened_by", "updated_at")
    list_filter = ("state",)
    list_select_related = ("plan__project", "opened_by")
    search_fields = ("plan__project__name", "sha256")


@admin.register(Placement)
class PlacementAdmin(ReadOnly):
    list_display = ("artwork", "wall", "revision", "left_mm", "bottom_mm")
    list_select_related = ("artwork", "wall", "revision")
    search_fields = ("artwork__title", "wall__name")


@admin.register(Option)
class OptionAdmin(ReadOnly):
    list_display = ("name", "wall", "kept_by", "created_at")
    list_select_related = ("wall", "kept_by")
    search_fields = ("name", "wall__name")


@admin.register(ReviewFinding)
class FindingAdmin(ReadOnly):
    list_display = ("rule", "level", "wall", "revision", "corrected_at")
    list_filter = ("level", "rule")
    list_select_related = ("wall", "revision")
    search_fields = ("text", "wall__name")


@admin.register(Decision)
class DecisionAdmin(ReadOnly):
    list_display = ("finding", "verdict", "by", "created_at", "withdrawn_at")
    list_filter = ("verdict",)
    list_select_related = ("finding", "by")


@admin.register(SignOff)
class SignOffAdmin(ReadOnly):
    list_display = ("revision", "name", "sha256", "created_at")
    list_select_related = ("revision",)
    search_fields = ("sha256", "name")


@admin.register(Transition)
class TransitionAdmin(ReadOnly):
    list_display = ("revision", "from_state", "to_state", "by", "created_at")
    list_filter = ("to_state",)
    list_select_related = ("revision", "by")


@admin.register(ProposalRun)
class ProposalRunAdmin(ReadOnly):
    list_display = ("project", "state", "attempts", "lease_until", "created_at")
    list_filter = ("state",)
    list_select_related = ("project",)


@admin.register(Photo)
class PhotoAdmin(ReadOnly):
    list_display = ("wall", "purpose", "state", "taken_by", "attempts", "lease_until", "created_at")
    list_filter = ("state", "purpose")
    list_select_related = ("wall", "taken_by")
    search_fields = ("wall__name", "wall__room__project__name")


@admin.register(PhotoMark)
class PhotoMarkAdmin(ReadOnly):
    list_display = ("photo", "kind", "artwork", "state", "found", "error_mm")
    list_filter = ("state", "kind")
    list_select_related = ("photo__wall", "artwork")
    search_fields = ("artwork__title", "photo__wall__name")


@admin.register(HouseRule)
class HouseRuleAdmin(ReadOnly):
    list_display = ("studio", "project", "rule", "limit", "value", "changed_by")
    list_filter = ("rule",)
    list_select_related = ("studio", "project", "changed_by")


@admin.register(Comment)
class CommentAdmin(ReadOnly):
    list_display = ("project", "wall", "author_name", "created_at")
    list_select_related = ("project", "wall")


@admin.register(Notice)
class NoticeAdmin(ReadOnly):
    list_display = ("user", "studio", "read_at", "emailed_at", "created_at")
    list_select_related = ("user", "studio")


@admin.register(ClientLink)
class ClientLinkAdmin(ReadOnly):
    list_display = ("project", "label", "expires_at", "revoked_at", "last_used_at")
    list_select_related = ("project",)
    exclude = ("token_sha256",)
