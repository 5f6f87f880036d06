"""Addresses of the studio's part of the API."""

from rest_framework.routers import SimpleRouter

from .api import views

router = SimpleRouter(trailing_slash=False)
router.register("studios", views.StudioViewSet, "api-studio")
router.register("memberships", views.MembershipViewSet, "api-membership")
router.register("clients", views.ClientViewSet, "api-client")
router.register("projects", views.ProjectViewSet, "api-project")
router.register("rooms", views.RoomViewSet, "api-room")
router.register("walls", views.WallViewSet, "api-wall")
router.register("items", views.ItemViewSet, "api-item")
router.register("artworks", views.ArtworkViewSet, "api-artwork")

urlpatterns = router.urls
