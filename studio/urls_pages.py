"""Addresses of the studio's own pages."""

from django.urls import path

from .views import clients, lists, people, pictures, works

urlpatterns = [
    path("works/", works.works, name="works"),
    path("works/new", works.work_new, name="work_new"),
    path("works/export", lists.works_export, name="works_export"),
    path("works/import", lists.works_import, name="works_import"),
    path("works/import/<int:pk>/columns", lists.works_import_columns, name="works_import_columns"),
    path("works/import/<int:pk>/heading", lists.works_import_heading, name="works_import_heading"),
    path("works/import/<int:pk>/preview", lists.works_import_preview, name="works_import_preview"),
    path("works/bulk", works.works_bulk, name="works_bulk"),
    path("works/<int:pk>/", works.work, name="work"),
    path("works/<int:pk>/edit", works.work_edit, name="work_edit"),
    path("works/<int:pk>/delete", works.work_delete, name="work_delete"),
    path("works/<int:pk>/picture", works.work_picture_edit, name="work_picture_edit"),
    path("works/<int:pk>/picture/original.jpg", pictures.work_original, name="work_original"),
    path("works/<int:pk>/picture/remove", works.work_picture_remove, name="work_picture_remove"),
    path("works/<int:pk>/picture/<slug:alias>.jpg", pictures.work_picture, name="work_picture"),
    path("clients/new", clients.client_new, name="client_new"),
    path("clients/<int:pk>/edit", clients.client_edit, name="client_edit"),
    path("clients/<int:pk>/delete", clients.client_delete, name="client_delete"),
    path("projects/new", clients.project_new, name="project_new"),
    path("projects/<int:pk>/edit", clients.project_edit, name="project_edit"),
    path("people/", people.people, name="people"),
    path("people/<int:pk>/role", people.member_role, name="member_role"),
    path("people/<int:pk>/end", people.member_end, name="member_end"),
    path("people/invitations/<int:pk>/again", people.invitation_again, name="invitation_again"),
    path("people/invitations/<int:pk>/revoke", people.invitation_revoke, name="invitation_revoke"),
    path("come-in/<slug:token>", people.invitation, name="invitation"),
    path("settings/studio", people.studio_settings, name="studio_settings"),
    path("settings/studio/logo", people.studio_logo, name="studio_logo"),
    path("settings/studio/logo.jpg", people.logo, name="studio_logo_picture"),
    path("settings/studio/<int:pk>/choose", people.studio_choose, name="studio_choose"),
    path("settings/me", people.my_settings, name="my_settings"),
    path("settings/me/devices/<int:pk>/end", people.device_end, name="device_end"),
    path("settings/me/keys", people.token_create, name="token_create"),
    path("settings/me/keys/<int:pk>/revoke", people.token_revoke, name="token_revoke"),
]
