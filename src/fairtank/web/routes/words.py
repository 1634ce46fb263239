"""The words for a video or an article."""

from django.urls import path

from fairtank.web.views import words

urlpatterns = [
    path("trials/<slug:slug>/words/", words.words, name="words"),
    path("trials/<slug:slug>/words/ask/", words.ask, name="words_ask"),
    path("trials/<slug:slug>/words/check/", words.check, name="words_check"),
    path("trials/<slug:slug>/words/<str:name>", words.words_file, name="words_file"),
]
