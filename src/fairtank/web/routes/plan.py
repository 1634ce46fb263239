"""The plan of a trial: its questions, its text, and what it says."""

from django.urls import path

from fairtank.web.views import plan, plan_text

urlpatterns = [
    path("trials/<slug:slug>/plan/", plan.plan, name="plan"),
    path("trials/<slug:slug>/plan/questions/", plan.questions, name="plan_questions"),
    path("trials/<slug:slug>/plan/answer/", plan.answer, name="plan_answer"),
    path("trials/<slug:slug>/plan/proposals/", plan.proposals, name="plan_proposals"),
    path("trials/<slug:slug>/plan/template/", plan.template, name="plan_template"),
    path("trials/<slug:slug>/plan/make/", plan.make, name="plan_make"),
    path("trials/<slug:slug>/plan/again/", plan.again, name="plan_again"),
    path("trials/<slug:slug>/plan/text/", plan_text.text, name="plan_text"),
    path("trials/<slug:slug>/plan/trial.toml", plan_text.download, name="plan_download"),
    path("plan/covers/<slug:measure>.jpg", plan.covers, name="plan_covers"),
]
