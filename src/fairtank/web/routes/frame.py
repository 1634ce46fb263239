"""Frames and zones."""

from django.urls import path

from fairtank.web.views import frame

_TRIAL = "trials/<slug:slug>/frame/"
urlpatterns = [
    path(_TRIAL, frame.frames, name="frame"),
    path(f"{_TRIAL}<int:unit>/", frame.frame_unit, name="frame_unit"),
    path(f"{_TRIAL}<int:unit>/store", frame.store, name="frame_store"),
    path(f"{_TRIAL}<int:unit>/copy", frame.copy, name="frame_copy"),
    path(f"{_TRIAL}<int:unit>/remove/<int:key>", frame.remove, name="frame_remove"),
]
