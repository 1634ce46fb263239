"""The choice of a language outside the settings."""

from django.urls import path

from fairtank.web.views import language

urlpatterns = [path("language/", language.language, name="language")]
