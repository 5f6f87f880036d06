from django.urls import path

from . import views, views_card, views_phone

urlpatterns = [
    path("revisions/<int:pk>/sheets/", views.sheets, name="sheets"),
    path("revisions/<int:pk>/sheets/request/", views.sheet_request, name="sheet_request"),
    path("revisions/<int:pk>/issue/", views.issue, name="job_issue"),
    path("estimates/<int:pk>/documents/", views.documents, name="estimate_documents"),
    path("sheets/<int:pk>/", views.report_row, name="report_row"),
    path("sheets/<int:pk>/file/", views.report_file, name="report_file"),
    path("sheets/<int:pk>/again/", views.report_again, name="report_again"),
    path("jobs/", views.jobs, name="jobs"),
    path("jobs/<int:pk>/", views.job, name="job"),
    path("jobs/<int:pk>/progress/", views.job_progress, name="job_progress"),
    path("jobs/<int:pk>/link/", views.job_link, name="job_link"),
    path("jobs/<int:pk>/close/", views.job_close_out, name="job_close"),
    path("jobs/links/<int:pk>/revoke/", views.job_link_revoke, name="job_link_revoke"),
    path("jobs/photos/<int:pk>/", views.action_photo, name="action_photo"),
    path("photos/card.pdf", views_card.photo_card, name="photo_card"),
    path("h/", views_phone.phone, name="phone"),
    path("h/worker.js", views_phone.worker, name="phone_worker"),
    path("h/manifest.webmanifest", views_phone.manifest, name="phone_manifest"),
]
