"""Which spare goes to which mesh: as many as can be, and those with locks, heating or alarms before all others.

Meshes are taken up in order of need; each gets a spare where one can be found, if need be by giving another mesh that
has one already a different spare (augmenting paths: Kuhn 1955, Berge 1957; recalled). Who has one keeps having one, so
that the order of need holds, and the number served is the greatest there is (transversal matroid: Edmonds and
Fulkerson 1965; recalled). Then each of these, in the same order, gets the best spare that leaves all others one.
"""

from collections.abc import Collection, Iterable

from fleet.planning.storm.case import Fit, OutMesh


def matched(meshes: Iterable[OutMesh]) -> dict[str, Fit]:
    """The spare that each mesh gets, by the mesh's code; a mesh that gets none is left out."""
    book = sorted(meshes, key=need)
    served = set(_given(book, ()).values())
    left = [mesh for mesh in book if mesh.code in served]
    fits: dict[str, Fit] = {}
    while left:
        mesh = left.pop(0)
        gone = {fit.spare for fit in fits.values()}
        fits[mesh.code] = next(
            fit
            for fit in _best_first(mesh)
            if fit.spare not in gone and len(_given(left, {*gone, fit.spare})) == len(left)
        )
    return fits


def need(mesh: OutMesh) -> tuple[bool, int, str]:
    """Safety first; then those that fewest spares fit; then by code."""
    return not mesh.safety, len(mesh.fits), mesh.code


def _given(meshes: Iterable[OutMesh], gone: Collection[str]) -> dict[str, str]:
    """Spares given out, each to the code of a mesh; those that are gone are not."""
    book = {mesh.code: mesh for mesh in meshes}
    taken: dict[str, str] = {}
    for code in book:
        _find(code, book, taken, set(gone))
    return taken


def _find(code: str, book: dict[str, OutMesh], taken: dict[str, str], seen: set[str]) -> bool:
    for fit in _best_first(book[code]):
        if fit.spare in seen:
            continue
        seen.add(fit.spare)
        if fit.spare not in taken or _find(taken[fit.spare], book, taken, seen):
            taken[fit.spare] = code
            return True
    return False


def _best_first(mesh: OutMesh) -> list[Fit]:
    return sorted(mesh.fits, key=lambda fit: (fit.rank, fit.way_minutes, fit.spare))
