"""The addresses of the pages."""

from django.urls import path

from fairtank.web import views

urlpatterns = [
    path("", views.front, name="front"),
    path("bench/", views.bench, name="bench"),
    path("bench/<str:key>", views.calculator, name="calculator"),
    path("results/<path:name>", views.result_file, name="result"),
    path("folder/<path:name>", views.folder_file, name="file"),
    path("thumbnails/<path:name>", views.thumbnail_file, name="thumbnail"),
    path("favicon.ico", views.no_icon),
    path("static/<str:name>", views.static_file, name="static"),
]

handler404 = "fairtank.web.views.nothing_here"
