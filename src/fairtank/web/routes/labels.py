"""Strokes."""

from django.urls import path

from fairtank.web.views import labels

_TRIAL = "trials/<slug:slug>/labels/"
urlpatterns = [
    path(_TRIAL, labels.labels, name="labels"),
    path(f"{_TRIAL}next", labels.next_photo, name="labels_next"),
    path(f"{_TRIAL}class", labels.class_new, name="labels_class"),
    path(f"{_TRIAL}painted", labels.painted, name="labels_painted"),
    path(f"{_TRIAL}<int:key>/", labels.labels_photo, name="labels_photo"),
    path(f"{_TRIAL}<int:key>/store", labels.store, name="labels_store"),
    path(f"{_TRIAL}<int:key>/teach", labels.teach, name="labels_teach"),
]
