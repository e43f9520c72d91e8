"""Homes whose sheets were really issued, for tests of what becomes of them."""

from datetime import timedelta

from fleet.models import How, Mesh
from fleet.verbs.intake import Origin, receive
from reports.models import Sheet
from reports.verbs import issuing
from sites.models import Firm
from tests import make
from tests.documents import document


def home_with_papers(code: str = "KELP-7", **given) -> Mesh:
    """A mesh in care with three snapshots; its hand-over and recovery sheets are issued as of NOW."""
    if not Firm.objects.exists():
        make.firm(office_phone="+44 1632 960101")
    home = make.site(code=code, client=make.client(name="Ingunn Sæther", email="ingunn@example.org", **given))
    make.contact(home, name="Mere Tāmoana")
    make.agreement(home)
    mesh = make.mesh(site=home)
    make.service(mesh)
    for day in (3, 2, 1):
        taken_at = make.NOW - timedelta(days=day)
        body = document(mesh, taken_at, outgoing_counter=2_000_000 - day * 200_000)
        receive(mesh, body, Origin(How.PUSH, "controller"), taken_at)
    issuing.issue_missing(make.NOW, "Orla")
    return Mesh.objects.select_related("site__client").get(pk=mesh.pk)


def newest(mesh: Mesh, kind: str) -> Sheet:
    """The sheet of this kind that is in force at the home."""
    return mesh.site.sheets.get(kind=kind, replaced_by=None)
