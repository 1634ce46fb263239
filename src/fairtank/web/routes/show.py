"""What a trial could show."""

from django.urls import path

from fairtank.web.views import show

urlpatterns = [
    path("trials/<slug:slug>/show/", show.show, name="show"),
    path("trials/<slug:slug>/show/earlier/", show.earlier_take, name="earlier_take"),
]
