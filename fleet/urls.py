"""Paths of this room's pages."""

from django.urls import path

from fleet.pages import board, folder, leaving, logs, mesh, snapshot, tray

board_urls = [path("", board.board, name="board")]

home_urls = [
    path("<str:code>/", folder.folder, name="folder"),
    path("<str:code>/meshes/new/", mesh.new_mesh, name="mesh-new"),
    path("<str:code>/agreements/<int:pk>/end/", leaving.leaving, name="leaving"),
    path("<str:code>/agreements/<int:pk>/end/<str:step>/", leaving.tick, name="leaving-tick"),
]

mesh_urls = [
    path("<str:code>/", mesh.mesh, name="mesh"),
    path("<str:code>/change/", mesh.change_mesh, name="mesh-change"),
    path("<str:code>/snapshots/", snapshot.upload, name="snapshot-upload"),
    path("<str:code>/tokens/", mesh.make_token, name="token-make"),
    path("<str:code>/tokens/<int:pk>/end/", mesh.end_token, name="token-end"),
]

snapshot_urls = [path("<uuid:uid>/", snapshot.snapshot, name="snapshot")]

log_urls = [
    path("tray/", tray.tray, name="tray"),
    path("rounds/", logs.rounds, name="rounds"),
    path("journal/", logs.journal, name="journal"),
]
