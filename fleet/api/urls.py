"""Version 1 of the interface for machines."""

from django.urls import path

from fleet.api.push import push

urlpatterns = [
    path("meshes/<str:code>/snapshots/", push, name="push"),
]
