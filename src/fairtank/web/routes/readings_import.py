"""Readings brought in as a table: chosen or pasted, looked at, stored, taken back."""

from django.urls import path

from fairtank.web.views import readings_import

_START = "trials/<slug:slug>/readings/import/"
urlpatterns = [
    path(_START, readings_import.begin, name="readings_import"),
    path(f"{_START}empty.<str:form>", readings_import.empty, name="readings_import_empty"),
    path(f"{_START}<str:key>/", readings_import.look, name="readings_import_look"),
    path(f"{_START}<str:key>/take-back", readings_import.take_back, name="readings_import_take_back"),
    path(f"{_START}<str:key>/bring-back", readings_import.bring_back, name="readings_import_bring_back"),
]
