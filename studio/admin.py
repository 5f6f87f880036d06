"""The back office of whoever runs the site: to look things up, not the studio's way of working."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from simple_history.admin import SimpleHistoryAdmin

from . import models


@admin.register(models.User)
class UserAdmin(admin.ModelAdmin):
    list_display = ("email", "name", "is_active", "is_staff", "last_login")
    search_fields = ("email", "name")
    list_filter = ("is_active", "is_staff")
    readonly_fields = ("date_joined", "last_login")
    exclude = ("password", "user_permissions", "groups")

    def has_add_permission(self, request: Any) -> bool:
        """People join by invitation."""
        return False


@admin.register(models.Studio)
class StudioAdmin(admin.ModelAdmin):
    list_display = ("name", "slug", "unit_style", "require_second_factor", "created_at")
    search_fields = ("name", "slug")


@admin.register(models.Membership)
class MembershipAdmin(admin.ModelAdmin):
    list_display = ("user", "studio", "role")
    list_filter = ("role",)
    search_fields = ("user__email", "user__name", "studio__name")
    list_select_related = ("user", "studio")
    autocomplete_fields = ("user", "studio")


@admin.register(models.Invitation)
class InvitationAdmin(admin.ModelAdmin):
    list_display = ("email", "studio", "role", "expires_at", "accepted_at", "revoked_at")
    search_fields = ("email", "studio__name")
    list_select_related = ("studio",)
    exclude = ("token_sha256",)

    def has_add_permission(self, request: Any) -> bool:
        return False


class Kept(SimpleHistoryAdmin):  # type: ignore[misc]
    """Rows with their history; changed on the studio's pages, looked at here."""

    def has_add_permission(self, request: Any) -> bool:
        return False

    def has_change_permission(self, request: Any, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: Any, obj: Any = None) -> bool:
        return False


@admin.register(models.Client)
class ClientAdmin(Kept):
    list_display = ("name", "studio", "email")
    search_fields = ("name", "studio__name")
    list_select_related = ("studio",)


@admin.register(models.Project)
class ProjectAdmin(Kept):
    list_display = ("name", "client", "designer")
    search_fields = ("name", "client__name")
    list_select_related = ("client", "designer")


@admin.register(models.Room)
class RoomAdmin(Kept):
    list_display = ("name", "project", "use")
    search_fields = ("name", "project__name")
    list_select_related = ("project",)


@admin.register(models.Wall)
class WallAdmin(Kept):
    list_display = ("name", "room", "length_mm", "height_mm", "version")
    search_fields = ("name", "room__name", "room__project__name")
    list_select_related = ("room",)


@admin.register(models.WallItem)
class WallItemAdmin(Kept):
    list_display = ("kind", "label", "wall", "left_mm", "width_mm")
    search_fields = ("label", "wall__name")
    list_filter = ("kind",)
    list_select_related = ("wall",)


@admin.register(models.Artwork)
class ArtworkAdmin(Kept):
    list_display = ("title", "maker", "studio", "client", "form", "width_mm", "height_mm")
    search_fields = ("title", "maker", "code")
    list_filter = ("form",)
    list_select_related = ("studio", "client")


class Noted(admin.ModelAdmin):
    """What the site wrote down about itself: looked at, not changed."""

    def has_add_permission(self, request: Any) -> bool:
        return False

    def has_change_permission(self, request: Any, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: Any, obj: Any = None) -> bool:
        return False


@admin.register(models.TaskRecord)
class TaskRecordAdmin(Noted):
    list_display = ("name", "succeeded_at", "failed_at", "note", "runs", "failures")


@admin.register(models.WorkerSeen)
class WorkerSeenAdmin(Noted):
    list_display = ("name", "seen_at")
