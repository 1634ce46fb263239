"""The seal."""

from django.urls import path

from fairtank.web.views import seal

urlpatterns = [
    path("trials/<slug:slug>/seal/", seal.seal, name="seal"),
    path("trials/<slug:slug>/seal/verify/", seal.verify, name="seal_verify"),
]
