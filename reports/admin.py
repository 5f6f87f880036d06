from django.contrib import admin

from .models import Job, JobLink, Report


@admin.register(Report)
class ReportAdmin(admin.ModelAdmin):
    list_display = ("pk", "kind", "state", "revision", "attempts", "lease_until", "created_at")
    list_filter = ("state", "kind")
    list_select_related = ("revision",)
    readonly_fields = [field.name for field in Report._meta.fields]

    def has_add_permission(self, request: object) -> bool:
        return False


class LinkInline(admin.TabularInline):
    model = JobLink
    extra = 0
    fields = ("created_at", "expires_at", "revoked_at", "last_used_at")
    readonly_fields = ("created_at", "last_used_at")

    def has_add_permission(self, request: object, obj: object = None) -> bool:
        return False


@admin.register(Job)
class JobAdmin(admin.ModelAdmin):
    list_display = ("pk", "revision", "hanger_name", "started_at", "finished_at")
    list_select_related = ("revision",)
    raw_id_fields = ("revision", "issued_by")
    inlines = [LinkInline]
