"""The diary: what was entered, and what is added, changed and taken back in it."""

from django.urls import path

from fairtank.web.views import diary

_ENTRY = "trials/<slug:slug>/diary/<slug:kind>/<int:number>/"
urlpatterns = [
    path("trials/<slug:slug>/diary/", diary.diary, name="diary"),
    path("trials/<slug:slug>/diary/add/", diary.add, name="diary_add"),
    path("trials/<slug:slug>/diary/deviations/", diary.deviations, name="deviations"),
    path(_ENTRY, diary.entry, name="diary_entry"),
    path(f"{_ENTRY}back/", diary.bring_back, name="diary_bring_back"),
]
