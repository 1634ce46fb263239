"""The keeper's tanks."""

from django.urls import path

from fairtank.web.views import tanks

urlpatterns = [
    path("tanks/", tanks.tanks, name="tanks"),
    path("tanks/new/", tanks.tank, name="tank_new"),
    path("tanks/look/", tanks.look, name="tank_look"),
    path("tanks/taken-away/<int:number>/", tanks.bring_back, name="tank_bring_back"),
    path("tanks/<int:number>/", tanks.tank, name="tank"),
    path("tanks/<int:number>/note/", tanks.note, name="tank_note"),
    path("tanks/<int:number>/take-away/", tanks.take_away, name="tank_take_away"),
]
