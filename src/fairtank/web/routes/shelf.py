"""The shelf, and a trial's own page."""

from django.urls import path

from fairtank.web.views import shelf, trial

urlpatterns = [
    path("", shelf.shelf, name="shelf"),
    path("trials/new/", shelf.begin, name="trial_new"),
    path("trials/example/", shelf.example, name="trial_example"),
    path("trials/take-in/", shelf.take_in, name="trial_take_in"),
    path("trials/take-in-file/", shelf.take_in_file, name="trial_take_in_file"),
    path("trials/taken-away/", shelf.trash, name="trash"),
    path("trials/taken-away/<slug:slug>/", shelf.bring_back, name="bring_back"),
    path("trials/<slug:slug>/", trial.trial, name="trial"),
    path("trials/<slug:slug>/rename/", trial.rename, name="trial_rename"),
    path("trials/<slug:slug>/close/", trial.close, name="trial_close"),
    path("trials/<slug:slug>/take-away/", trial.remove, name="trial_remove"),
]
