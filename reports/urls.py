"""Paths of papers."""

from django.urls import path

from reports.pages import drawn, evidence, hand, months, out_of_date, sealed_page, sheet, sheets, verify, work

client_urls = [
    path("<uuid:uid>/erasure-certificate/", work.erasure_certificate, name="erasure-certificate"),
]

home_urls = [
    path("<str:code>/sheets/", sheets.sheets, name="sheets"),
    path("<str:code>/sheets/handover/", sheets.issue_handover, name="handover-issue"),
    path("<str:code>/sheets/recovery/<str:mesh_code>/", sheets.issue_recovery, name="recovery-issue"),
    path("<str:code>/sheets/evidence/", evidence.issue, name="evidence-issue"),
    path("<str:code>/hand-back/", drawn.hand_back, name="hand-back"),
]

mesh_urls = [
    path("<str:code>/drills/<int:pk>/record/", work.drill_record, name="drill-record"),
    path("<str:code>/job-sheet/", work.job_sheet, name="job-sheet"),
    path("<str:code>/paper-copy/", drawn.paper_copy, name="paper-copy"),
    path("<str:code>/sealed-page/", sealed_page.sealed_page, name="sealed-page"),
]

sheet_urls = [
    path("links/<uuid:uid>/end/", sheet.link_end, name="link-end"),
    path("<str:number>/", sheets.sheet_file, name="sheet-file"),
    path("<str:number>/about/", sheet.sheet_about, name="sheet-about"),
    path("<str:number>/link/", sheet.sheet_link, name="sheet-link"),
    path("<str:number>/mail/", sheet.sheet_mail, name="sheet-mail"),
    path("<str:number>/hung/", sheet.sheet_hung, name="sheet-hung"),
    path("<str:number>/sign/", sheet.sheet_sign, name="sheet-sign"),
    path("<str:number>/slips/<uuid:uid>/", sheet.sheet_slip, name="sheet-slip"),
]

months_urls = [
    path("months/", months.months, name="months"),
    path("months/issue/", months.issue, name="month-issue"),
]

papers_urls = [
    path("papers/", out_of_date.papers, name="papers"),
    path("papers/anew/", out_of_date.remake, name="papers-anew"),
    path("papers/anew/<int:pk>/", out_of_date.papers_making, name="papers-making"),
]

open_urls = [
    path("paper/", verify.check, name="paper-check"),
    path("paper/<str:number>/<str:digest>/", verify.verify, name="paper-verify"),
    # The code on a sheet holds its address in upper case, for a smaller code.
    path("PAPER/<str:number>/<str:digest>/", verify.verify),
    path("hand/", hand.hand, name="hand"),
    path("hand/file/", hand.hand_file, name="hand-file"),
    path("hand/sign/", hand.hand_sign, name="hand-sign"),
    path("hand/slip/", hand.hand_slip, name="hand-slip"),
]
