"""What a trial could show."""

from django.urls import path

from fairtank.web.views import show

urlpatterns = [path("trials/<slug:slug>/show/", show.show, name="show")]
