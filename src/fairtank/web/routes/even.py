"""How even the units are, and what each of them has."""

from django.urls import path

from fairtank.web.views import even

urlpatterns = [
    path("trials/<slug:slug>/even/", even.even, name="even"),
    path("trials/<slug:slug>/equal/", even.equal, name="equal"),
    path("trials/<slug:slug>/equal/<slug:key>/", even.factor, name="equal_factor"),
]
