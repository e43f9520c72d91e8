"""How commands find what people name, with one sentence where there is no such thing."""

from django.core.management.base import CommandError

from fleet.mesh.codes import CodeError, read_code
from fleet.models import Mesh
from sites.models import Site


def code_typed(text: str) -> str:
    """A home or mesh code in its one form, or CommandError."""
    try:
        return read_code(text)
    except CodeError as error:
        raise CommandError(str(error)) from None


def mesh_named(text: str) -> Mesh:
    """The mesh of that code; a home's code will do where the home has one mesh only."""
    code = code_typed(text)
    meshes = Mesh.objects.select_related("site__client")
    found = list(meshes.filter(code=code) or meshes.filter(site__code=code))
    if len(found) == 1:
        return found[0]
    if found:
        names = ", ".join(mesh.code for mesh in found)
        raise CommandError(f"{code} has {len(found)} meshes; name one of {names}.")
    known = ", ".join(meshes.order_by("code").values_list("code", flat=True)[:12])
    raise CommandError(f"There is no mesh {code} in this book." + (f" There are: {known}." if known else ""))


def site_named(text: str) -> Site:
    """The home of that code, or of that mesh's code."""
    code = code_typed(text)
    mesh = Mesh.objects.filter(code=code).first()
    site = Site.objects.select_related("client").filter(code=mesh.site.code if mesh else code).first()
    if site is None:
        raise CommandError(f"There is no home {code} in this book.")
    return site
