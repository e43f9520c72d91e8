"""Paths of papers."""

from django.urls import path

from reports.pages import hand_back, sheets

home_urls = [
    path("<str:code>/sheets/", sheets.sheets, name="sheets"),
    path("<str:code>/sheets/handover/", sheets.issue_handover, name="handover-issue"),
    path("<str:code>/sheets/recovery/<str:mesh_code>/", sheets.issue_recovery, name="recovery-issue"),
    path("<str:code>/hand-back/", hand_back.hand_back, name="hand-back"),
]

sheet_urls = [path("<str:number>/", sheets.sheet_file, name="sheet-file")]
