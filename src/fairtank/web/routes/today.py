"""What is due today."""

from django.urls import path

from fairtank.web.views import today

urlpatterns = [path("today/", today.today, name="today")]
