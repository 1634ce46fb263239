"""The finding."""

from django.urls import path

from fairtank.web.views import finding

urlpatterns = [
    path("trials/<slug:slug>/finding/", finding.finding, name="finding"),
    path("trials/<slug:slug>/finding/findings.json", finding.findings_file, name="findings_file"),
]
