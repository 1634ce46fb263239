"""The blind table: its page, the table itself for who sits at this computer, and the same behind a link that shows nothing else."""

from django.urls import path

from fairtank.web.views import blind, rating

_TRIAL, _SEAT, _LINK = "trials/<slug:slug>/blind/", "trials/<slug:slug>/blind/<int:number>/", "rate/<str:secret>"
urlpatterns = [
    path(_TRIAL, blind.blind, name="blind"),
    path(f"{_TRIAL}seat", blind.make, name="blind-make"),
    path(f"{_SEAT}link", blind.link, name="blind-link"),
    path(f"{_SEAT}unlink", blind.unlink, name="blind-unlink"),
    path(f"{_SEAT}end", blind.end, name="blind-end"),
    path(f"{_SEAT}go-on", blind.open_again, name="blind-open"),
    path(_SEAT, rating.table, name="blind-table"),
    path(f"{_SEAT}answer", rating.table_answer, name="blind-answer"),
    path(f"{_SEAT}undo", rating.table_undo, name="blind-undo"),
    path(f"{_SEAT}<str:token>/<int:which>", rating.table_picture, name="blind-picture"),
    path(_LINK, rating.rate, name="rate"),
    path(f"{_LINK}/answer", rating.rate_answer, name="rate-answer"),
    path(f"{_LINK}/undo", rating.rate_undo, name="rate-undo"),
    path(f"{_LINK}/<str:token>/<int:which>", rating.rate_picture, name="rate-picture"),
]
