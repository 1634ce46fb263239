"""The drift watch."""

from django.urls import path

from fairtank.web.views import watch

urlpatterns = [
    path("trials/<slug:slug>/watch/", watch.watch, name="watch"),
    path("trials/<slug:slug>/watch/drift.json", watch.drift_file, name="drift_file"),
]
