"""The lot."""

from django.urls import path

from fairtank.web.views import draw

urlpatterns = [
    path("trials/<slug:slug>/draw/", draw.draw, name="draw"),
    path("trials/<slug:slug>/draw/papers/<str:name>", draw.paper, name="draw_paper"),
    path("trials/<slug:slug>/draw/codes/", draw.codes, name="draw_codes"),
]
