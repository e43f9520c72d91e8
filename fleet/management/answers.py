"""How commands find what people name, with one sentence where there is no such thing."""

from django.core.management.base import CommandError

from fleet.mesh.codes import CodeError, read_code
from fleet.models import Mesh, Snapshot, TrayItem
from fleet.queries.tray import with_meshes
from sites.models import Client, Site

LEAST_OF_UID = 8


def code_typed(text: str) -> str:
    """A home or mesh code in its one form, or CommandError."""
    try:
        return read_code(text)
    except CodeError as error:
        raise CommandError(str(error)) from None


def mesh_named(text: str, argument: str = "") -> Mesh:
    """The mesh of that code; a home's code will do where the home has one mesh only.

    argument: where it was typed, such as "--mesh", for what is said where there is none.
    """
    try:
        return _mesh_of(code_typed(text))
    except CommandError as error:
        raise CommandError(f"{argument} {text}: {error}" if argument else str(error)) from None


def _mesh_of(code: str) -> Mesh:
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


def client_named(text: str) -> Client:
    """The client of that name, of that mark (uid, or its beginning), or whose home has that code."""
    asked = text.strip()
    found = list(Client.objects.filter(name=asked))
    if not found and len(asked) >= LEAST_OF_UID:
        found = list(Client.objects.filter(uid__startswith=asked.lower()))
    if len(found) > 1:
        marks = ", ".join(str(client.uid) for client in found)
        raise CommandError(f"{len(found)} clients are called {asked}; name one by its mark: {marks}.")
    if found:
        return found[0]
    try:
        return site_named(asked).client
    except CommandError:
        raise CommandError(
            f"There is no client {asked} in this book; write the name as it stands there, or the code of a home."
        ) from None


def copy_named(mesh: Mesh, text: str, argument: str) -> Snapshot:
    """The copy of this mesh whose id begins so; argument is where it was typed, such as "--snapshot"."""
    begins = text.strip().lower()
    found = [uid for uid in mesh.snapshots.values_list("uid", flat=True) if str(uid).startswith(begins)]
    if not found:
        raise CommandError(f"{argument}: {mesh.code} has no snapshot {text}.")
    if len(found) > 1:
        raise CommandError(
            f"{argument}: {len(found)} snapshots of {mesh.code} have an id that begins with “{text}”; type more of it."
        )
    return mesh.snapshots.get(uid=found[0])


def item_named(text: str) -> TrayItem:
    """The document in the tray, waiting or not, whose id begins so."""
    begins = text.strip().lower()
    found = [uid for uid in TrayItem.objects.values_list("uid", flat=True) if str(uid).startswith(begins)]
    if not found or not begins:
        raise CommandError(f"There is no tray item {text}; tray list and tray list --cleared show them.")
    if len(found) > 1:
        raise CommandError(f"{len(found)} tray items have an id that begins with “{text}”; type more of it.")
    return with_meshes(TrayItem.objects.all()).get(uid=found[0])
