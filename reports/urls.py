"""Paths of papers."""

from django.urls import path

from reports.pages import drawn, sheets

home_urls = [
    path("<str:code>/sheets/", sheets.sheets, name="sheets"),
    path("<str:code>/sheets/handover/", sheets.issue_handover, name="handover-issue"),
    path("<str:code>/sheets/recovery/<str:mesh_code>/", sheets.issue_recovery, name="recovery-issue"),
    path("<str:code>/hand-back/", drawn.hand_back, name="hand-back"),
]

mesh_urls = [path("<str:code>/paper-copy/", drawn.paper_copy, name="paper-copy")]

sheet_urls = [path("<str:number>/", sheets.sheet_file, name="sheet-file")]
