"""What goes into the glass of a trial: the build sheet, the setup, weighing in."""

from django.urls import path

from fairtank.web.views import build, cards

_BUILD = "trials/<slug:slug>/build/"
urlpatterns = [
    path(_BUILD, build.build, name="build"),
    path(f"{_BUILD}setup/", build.setup, name="build_setup"),
    path(f"{_BUILD}setup/tanks/", build.tanks, name="build_tanks"),
    path(f"{_BUILD}setup/text/", build.text, name="build_text"),
    path(f"{_BUILD}setup/<slug:head>/<int:number>/", build.line, name="build_line"),
    path(f"{_BUILD}setup/<slug:head>/<int:number>/take-out/", build.take_out, name="build_take_out"),
    path(f"{_BUILD}weigh/", build.weigh, name="build_weigh"),
    path(f"{_BUILD}weigh/<str:unit>/", build.weigh_unit, name="build_weigh_unit"),
    path(f"{_BUILD}files/<str:name>", build.file, name="build_file"),
    path(f"{_BUILD}cards/", cards.cards, name="cards"),
]
