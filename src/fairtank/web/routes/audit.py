"""Audit points."""

from django.urls import path

from fairtank.web.views import audit

_TRIAL = "trials/<slug:slug>/audit/"
urlpatterns = [
    path(_TRIAL, audit.audit, name="audit"),
    path(f"{_TRIAL}draw", audit.draw, name="audit_draw"),
    path(f"{_TRIAL}undo", audit.undo, name="audit_undo"),
    path(f"{_TRIAL}<int:number>/answer", audit.answer, name="audit_answer"),
    path(f"{_TRIAL}<int:number>/picture", audit.picture, name="audit_picture"),
]
