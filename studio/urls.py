"""The composition root: other apps only by dotted name."""

from django.contrib import admin
from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from . import health

handler400 = "studio.problems.bad_request"
handler404 = "studio.problems.not_found"
handler500 = "studio.problems.server_error"

urlpatterns = [
    path("", include("reports.urls")),
    path("api/v1/", include("studio.urls_api")),
    path("api/v1/", include("placements.urls_api")),
    path("api/v1/", include("reports.urls_api")),
    path("health/live", health.live, name="health_live"),
    path("health/ready", health.ready, name="health_ready"),
    path("metrics", health.metrics, name="metrics"),
    path("api/v1/schema", SpectacularAPIView.as_view(), name="api_schema"),
    path("account/", include("allauth.urls")),
    path("admin/", admin.site.urls),
    path("", include("studio.urls_pages")),
    path("", include("placements.urls_review")),
    path("", include("placements.urls")),
]
