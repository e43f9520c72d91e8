"""Which room answers which path."""

from django.contrib import admin
from django.contrib.auth.views import LoginView, LogoutView
from django.urls import include, path

from fleet import urls as fleet
from fleet.verbs import journal
from reports import urls as reports
from sites import urls as sites

SIGN_IN = LoginView.as_view(
    template_name="fleet/sign_in.html",
    redirect_authenticated_user=True,
    extra_context={"first_line": "Sign in to open the book."},
)

urlpatterns = [
    # First, as most requests are pushes.
    path("api/v1/", include("fleet.api.urls")),
    path("", include(fleet.board_urls)),
    path("sign-in/", SIGN_IN, name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("", include(sites.client_urls)),
    path("", include(sites.writing_urls(journal.record))),
    path("clients/", include(fleet.client_urls)),
    path("clients/", include(reports.client_urls)),
    path("homes/", include(fleet.home_urls)),
    path("homes/", include(reports.home_urls)),
    path("meshes/", include(fleet.mesh_urls)),
    path("meshes/", include(reports.mesh_urls)),
    path("snapshots/", include(fleet.snapshot_urls)),
    path("sheets/", include(reports.sheet_urls)),
    path("", include(reports.papers_urls)),
    path("", include(reports.months_urls)),
    path("", include(reports.open_urls)),
    path("", include(fleet.replacement_urls)),
    path("", include(fleet.drill_urls)),
    path("", include(fleet.radio_urls)),
    path("", include(fleet.firmware_urls)),
    path("", include(fleet.keep_urls)),
    path("", include(fleet.log_urls)),
    path("", include(fleet.told_urls)),
    path("", include(fleet.supposing_urls)),
    path("", include(fleet.next_swap_urls)),
    path("", include(fleet.visit_urls)),
    path("", include(fleet.people_urls)),
    path("back-door/", admin.site.urls),
]

# Machines are answered with a problem document, people with a page.
handler400 = "fleet.api.problems.bad_request"
handler404 = "fleet.api.problems.not_found"
handler500 = "fleet.api.problems.server_error"
