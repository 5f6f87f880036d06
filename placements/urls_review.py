"""Addresses of review, sign-off, comments, the inbox and the record."""

from django.urls import path

from .views import dates, money, record, review, standing, talk

urlpatterns = [
    path("review/", review.queue, name="review_queue"),
    path("review/standing/", standing.standing, name="standing"),
    path("review/deputies/<int:pk>/end", standing.deputy_end, name="deputy_end"),
    path("findings/<int:pk>/decide", review.decide, name="finding_decide"),
    path("findings/<int:pk>/house-rule", review.change_rule, name="finding_change_rule"),
    path("decisions/<int:pk>/withdraw", review.withdraw, name="decision_withdraw"),
    path("revisions/<int:pk>/review/", review.plan_review, name="plan_review"),
    path("revisions/<int:pk>/send/", review.plan_send, name="plan_send"),
    path("revisions/<int:pk>/step", review.plan_step, name="plan_step"),
    path("revisions/<int:pk>/sign-off/", review.sign_off, name="sign_off"),
    path("revisions/<int:pk>/record.json", record.signed_record, name="signed_record"),
    path("revisions/<int:pk>/difference/", record.plan_difference, name="plan_difference"),
    path("projects/<int:pk>/trail/", record.audit, name="audit_trail"),
    path("projects/<int:pk>/comments/", talk.comments, name="comments"),
    path("inbox/", talk.inbox, name="inbox"),
    path("inbox/read", talk.inbox_read, name="inbox_read"),
    path("dates/", dates.dates, name="dates"),
    path("dates/<int:pk>/tick", dates.date_tick, name="date_tick"),
    path("dates/address", dates.address_make, name="calendar_address"),
    path("dates/addresses/<int:pk>/end", dates.address_end, name="calendar_address_end"),
    path("projects/<int:pk>/dates/", dates.project_dates, name="project_dates"),
    path("projects/<int:pk>/dates/address", dates.project_address_make, name="project_calendar_address"),
    path("calendar/<str:token>.ics", dates.calendar, name="calendar"),
    path("prices/", money.prices, name="prices"),
    path("prices/pace", money.pace_take, name="pace_take"),
    path("projects/<int:pk>/estimates/", money.estimates, name="estimates"),
    path("estimates/<int:pk>/", money.estimate, name="estimate"),
    path("estimates/<int:pk>/show", money.estimate_show, name="estimate_show"),
    path("estimates/<int:pk>/lines", money.estimate_file, name="estimate_file"),
    path("client/<str:token>/estimates/<int:pk>", money.estimate_answer, name="estimate_answer"),
    path("learning/", record.learning, name="learning"),
    path("learning/adopt", record.learning_adopt, name="learning_adopt"),
    path("learning/effect", record.learning_effect, name="learning_effect"),
]
