"""The public page of a trial."""

from django.urls import path

from fairtank.web.views import site

urlpatterns = [
    path("trials/<slug:slug>/site/", site.site, name="site"),
    path("trials/<slug:slug>/site/make/", site.make, name="site_make"),
    path("trials/<slug:slug>/site/site.zip", site.site_zip, name="site_zip"),
    path("trials/<slug:slug>/site/page/<path:name>", site.site_file, name="site_file"),
]
