"""The film of a trial."""

from django.urls import path

from fairtank.web.views import film

urlpatterns = [
    path("trials/<slug:slug>/film/", film.film, name="film"),
    path("trials/<slug:slug>/film/make/", film.make, name="film_make"),
    path("trials/<slug:slug>/film/<str:name>", film.film_file, name="film_file"),
]
