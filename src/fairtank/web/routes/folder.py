"""A trial folder as it lies on disk, and its results."""

from django.urls import path

from fairtank.web import views

urlpatterns = [
    path("folder/", views.front, name="folder"),
    path("results/<path:name>", views.result_file, name="result"),
    path("folder/<path:name>", views.folder_file, name="file"),
    path("thumbnails/<path:name>", views.thumbnail_file, name="thumbnail"),
    path("favicon.ico", views.no_icon),
]
