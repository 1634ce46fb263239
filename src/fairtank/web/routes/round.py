"""The round, what its script sends, and small pictures of photos."""

from django.urls import path

from fairtank.web.views import round

urlpatterns = [
    path("trials/<slug:slug>/round/", round.round_page, name="round"),
    path("trials/<slug:slug>/round/entries/", round.entries, name="round_entries"),
    path("trials/<slug:slug>/round/photo/", round.photo, name="round_photo"),
]
