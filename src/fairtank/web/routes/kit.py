"""The kit of a trial, and a trial that repeats another."""

from django.urls import path

from fairtank.web.views import kit, repeat

urlpatterns = [
    path("trials/<slug:slug>/kit/", kit.kit, name="kit"),
    path("trials/<slug:slug>/kit/ask/", kit.ask, name="kit_ask"),
    path("trials/<slug:slug>/kit/kit.zip", kit.kit_file, name="kit_file"),
    path("repeat/", repeat.repeat, name="repeat"),
    path("repeat/make/", repeat.make, name="repeat_make"),
]
