"""The drawing program of the charts."""

from django.urls import path

from fairtank.web.views import charts

urlpatterns = [
    path("static/charts.js", charts.newest_bundle, name="chart_bundle_newest"),
    path("static/charts-<str:version>.js", charts.bundle, name="chart_bundle"),
]
