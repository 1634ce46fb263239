"""The keeper's materials."""

from django.urls import path

from fairtank.web.views import materials

urlpatterns = [
    path("materials/", materials.materials, name="materials"),
    path("materials/new/", materials.material, name="material_new"),
    path("materials/take/", materials.take, name="materials_take"),
    path("materials/taken-away/<int:number>/", materials.bring_back, name="material_bring_back"),
    path("materials/<int:number>/", materials.material, name="material"),
    path("materials/<int:number>/take-away/", materials.take_away, name="material_take_away"),
]
