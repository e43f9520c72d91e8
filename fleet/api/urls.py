"""Version 1 of the interface for machines."""

from django.urls import path

from fleet.api.push import push

urlpatterns = [
    path("meshes/<str:code>/snapshots/", push, name="push"),
    # Without the last slash too: a machine that is sent elsewhere by a 301 may take that for a success.
    path("meshes/<str:code>/snapshots", push),
]
