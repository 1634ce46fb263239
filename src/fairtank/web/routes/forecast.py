"""How the tanks of a trial may go."""

from django.urls import path

from fairtank.web.views import forecast

urlpatterns = [
    path("trials/<slug:slug>/forecast/", forecast.forecast, name="forecast"),
    path("trials/<slug:slug>/forecast/ask/", forecast.ask, name="forecast_ask"),
]
