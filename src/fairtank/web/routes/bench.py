"""The calculators."""

from django.urls import path

from fairtank.web import views

urlpatterns = [
    path("bench/", views.bench, name="bench"),
    path("bench/<str:key>", views.calculator, name="calculator"),
]
