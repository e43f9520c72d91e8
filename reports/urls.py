"""Paths of papers."""

from django.urls import path

from reports import pages

home_urls = [
    path("<str:code>/sheets/", pages.sheets, name="sheets"),
    path("<str:code>/sheets/handover/", pages.issue_handover, name="handover-issue"),
    path("<str:code>/sheets/recovery/<str:mesh_code>/", pages.issue_recovery, name="recovery-issue"),
]

sheet_urls = [path("<str:number>/", pages.sheet_file, name="sheet-file")]
