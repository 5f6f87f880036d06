"""Addresses of the plan's part of the API."""

from django.urls import path
from rest_framework.routers import SimpleRouter

from .api import dates, money, options, plans, review
from .api.photos import viewsets as photos

router = SimpleRouter(trailing_slash=False)
router.register("plans", plans.PlanViewSet, "api-plan")
router.register("revisions", plans.RevisionViewSet, "api-revision")
router.register("placements", plans.PlacementViewSet, "api-placement")
router.register("options", options.OptionViewSet, "api-option")
router.register("transitions", plans.TransitionViewSet, "api-transition")
router.register("sign-offs", plans.SignOffViewSet, "api-sign-off")
router.register("findings", review.FindingViewSet, "api-finding")
router.register("decisions", review.DecisionViewSet, "api-decision")
router.register("proposals", review.ProposalViewSet, "api-proposal")
router.register("comments", review.CommentViewSet, "api-comment")
router.register("notices", review.NoticeViewSet, "api-notice")
router.register("due-dates", dates.DueDateViewSet, "api-due-date")
router.register("delegations", dates.DelegationViewSet, "api-delegation")
router.register("price-lists", money.PriceListViewSet, "api-price-list")
router.register("estimates", money.EstimateViewSet, "api-estimate")
router.register("photos", photos.PhotoViewSet, "api-photo")
router.register("photo-marks", photos.PhotoMarkViewSet, "api-photo-mark")
router.register("house-rules", review.HouseRuleViewSet, "api-house-rule")

urlpatterns = [
    *router.urls,
    path("rules", review.RulesView.as_view(), name="api-rules"),
    path("survey-schema", review.SurveySchemaView.as_view(), name="api-survey-schema"),
    path("surveys", review.SurveysView.as_view(), name="api-surveys"),
    path("projects/<int:pk>/survey", review.ProjectSurveyView.as_view(), name="api-project-survey"),
]
