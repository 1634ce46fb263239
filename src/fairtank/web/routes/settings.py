"""The choices of the keeper, and how this installation is looked after."""

from django.urls import path

from fairtank.web.views import settings

urlpatterns = [
    path("settings/", settings.settings, name="settings"),
    path("settings/keep/", settings.keep, name="settings_keep"),
    path("settings/look/", settings.look, name="settings_look"),
    path("settings/job/<slug:kind>/", settings.work, name="settings_work"),
    path("settings/backups/<str:name>", settings.backup, name="settings_backup"),
    path("settings/taken-away/", settings.trash, name="settings_trash"),
    path("settings/taken-away/<slug:kind>/<int:number>/", settings.bring_back, name="settings_bring_back"),
]
