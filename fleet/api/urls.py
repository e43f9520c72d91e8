"""Version 1 of the interface for machines."""

from django.contrib.auth.decorators import login_not_required
from django.urls import path

from fleet.api.push import PushView

urlpatterns = [
    path("meshes/<str:code>/snapshots/", login_not_required(PushView.as_view()), name="push"),
]
