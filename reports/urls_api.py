from django.urls import path
from rest_framework.routers import SimpleRouter

from . import api, api_phone

router = SimpleRouter(trailing_slash=False)
router.register("reports", api.ReportViewSet, basename="api-report")
router.register("jobs", api.JobViewSet, basename="api-job")

urlpatterns = [
    *router.urls,
    path("phone/job/", api_phone.JobView.as_view(), name="phone_job"),
    path("phone/pictures/<int:placement>/", api_phone.PictureView.as_view(), name="phone_picture"),
    path("phone/actions/", api_phone.ActionsView.as_view(), name="phone_actions"),
]
