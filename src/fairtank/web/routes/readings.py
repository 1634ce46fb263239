"""Readings as tables: looked at, filled row by row, given away."""

from django.urls import path

from fairtank.web.views import readings

urlpatterns = [
    path("trials/<slug:slug>/readings/", readings.readings, name="readings"),
    path("trials/<slug:slug>/readings/add/", readings.add, name="readings_add"),
    path("trials/<slug:slug>/readings/readings.csv", readings.export, name="readings_export"),
]
