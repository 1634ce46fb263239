"""Report and files."""

from django.urls import path

from fairtank.web.views import publish

urlpatterns = [
    path("trials/<slug:slug>/publish/", publish.publish, name="publish"),
    path("trials/<slug:slug>/publish/disclosure/", publish.disclosure, name="disclosure"),
    path("trials/<slug:slug>/publish/spread/", publish.spread_give, name="spread_give"),
    path("trials/<slug:slug>/publish/report.html", publish.report_page, name="report_page"),
    path("trials/<slug:slug>/publish/report.pdf", publish.report_pdf, name="report_pdf"),
    path("trials/<slug:slug>/publish/one-page.html", publish.one_page, name="one_page"),
    path("trials/<slug:slug>/publish/one-page.pdf", publish.one_page_pdf, name="one_page_pdf"),
    path("trials/<slug:slug>/publish/measures.csv", publish.measures_file, name="measures_file"),
    path("trials/<slug:slug>/publish/trial.zip", publish.folder_file, name="folder_zip"),
]
