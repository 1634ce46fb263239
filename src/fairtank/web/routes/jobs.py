"""Work behind the pages."""

from django.urls import path

from fairtank.web.views import jobs

urlpatterns = [
    path("jobs/", jobs.jobs, name="jobs"),
    path("jobs/<int:number>/", jobs.job, name="job"),
    path("jobs/<int:number>/part/", jobs.part, name="job_part"),
    path("jobs/<int:number>/stop/", jobs.stopped, name="job_stop"),
    path("trials/<slug:slug>/work-out/<slug:kind>/", jobs.asked, name="job_ask"),
]
