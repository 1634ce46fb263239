"""The strip wall, two photos side by side, one photo, and the pictures themselves."""

from django.urls import path

from fairtank.web.views import photo, wall

_TRIAL, _PHOTO = "trials/<slug:slug>/wall/", "trials/<slug:slug>/photo/<int:key>/"
urlpatterns = [
    path(_TRIAL, wall.wall, name="wall"),
    path(f"{_TRIAL}compare", wall.compare, name="compare"),
    path(_PHOTO, photo.photo, name="photo"),
    path(f"{_PHOTO}remove", photo.remove, name="photo_remove"),
    path(f"{_PHOTO}bring-back", photo.bring_back, name="photo_bring_back"),
    path(f"{_PHOTO}map/<str:version>", photo.class_map, name="photo_map"),
    path(f"{_PHOTO}framed/<str:stamp>", photo.framed, name="photo_framed"),
    path(f"{_PHOTO}<str:size>/<str:stamp>", photo.picture, name="photo_picture"),
]
