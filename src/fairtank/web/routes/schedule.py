"""The schedule."""

from django.urls import path

from fairtank.web.views import schedule

urlpatterns = [
    path("trials/<slug:slug>/schedule/", schedule.schedule, name="schedule"),
    path("trials/<slug:slug>/schedule/take/", schedule.take, name="schedule_take"),
    path("trials/<slug:slug>/schedule/slip/", schedule.slip, name="schedule_slip"),
    path("trials/<slug:slug>/schedule/chore/", schedule.chore, name="schedule_chore"),
    path("trials/<slug:slug>/schedule/chore/remove/", schedule.remove, name="schedule_chore_remove"),
    path("trials/<slug:slug>/schedule/calendar.ics", schedule.calendar, name="schedule_calendar"),
]
