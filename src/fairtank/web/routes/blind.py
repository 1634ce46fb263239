"""The blind table: its page, the table itself for who sits at this computer, and the same behind a link that shows nothing else."""

from django.urls import path

from fairtank.web.views import blind, rating

_TRIAL, _SEAT, _LINK = "trials/<slug:slug>/blind/", "trials/<slug:slug>/blind/<int:number>/", "rate/<str:secret>"
urlpatterns = [
    path(_TRIAL, blind.blind, name="blind"),
    path(f"{_TRIAL}seat", blind.make, name="blind_make"),
    path(f"{_SEAT}link", blind.link, name="blind_link"),
    path(f"{_SEAT}unlink", blind.unlink, name="blind_unlink"),
    path(f"{_SEAT}end", blind.end, name="blind_end"),
    path(f"{_SEAT}go-on", blind.open_again, name="blind_open"),
    path(_SEAT, rating.table, name="blind_table"),
    path(f"{_SEAT}answer", rating.table_answer, name="blind_answer"),
    path(f"{_SEAT}undo", rating.table_undo, name="blind_undo"),
    path(f"{_SEAT}<str:token>/<int:which>", rating.table_picture, name="blind_picture"),
    path(_LINK, rating.rate, name="rate"),
    path(f"{_LINK}/answer", rating.rate_answer, name="rate_answer"),
    path(f"{_LINK}/undo", rating.rate_undo, name="rate_undo"),
    path(f"{_LINK}/<str:token>/<int:which>", rating.rate_picture, name="rate_picture"),
]
