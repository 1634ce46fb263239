"""Phones of the home network: paired, listed, let in no more."""

from django.urls import path

from fairtank.web.views import phones

urlpatterns = [
    path("phones/", phones.phones, name="phones"),
    path("phones/code/", phones.code, name="phone_code"),
    path("phones/<int:number>/rename/", phones.rename, name="phone_rename"),
    path("phones/<int:number>/revoke/", phones.revoke, name="phone_revoke"),
    path("pair", phones.pair, name="pair"),
]
