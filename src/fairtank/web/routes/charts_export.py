"""The charts of a trial to take away."""

from django.urls import path

from fairtank.web.views import charts_export

urlpatterns = [
    path("trials/<slug:slug>/charts/", charts_export.charts, name="charts_export"),
    path("trials/<slug:slug>/charts/make/", charts_export.make, name="charts_make"),
    path("trials/<slug:slug>/charts/charts.zip", charts_export.charts_zip, name="charts_zip"),
    path("trials/<slug:slug>/charts/picture/<path:name>", charts_export.chart_file, name="chart_file"),
]
