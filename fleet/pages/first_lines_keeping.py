"""First lines of the pages about keep rules, pins and marked copies."""

from collections.abc import Sequence

from django.utils.html import format_html
from django.utils.safestring import SafeString

from fleet.models import KeepRule, Mesh
from fleet.pages.writing import counted
from fleet.queries.keep_rules import RuleShown
from fleet.queries.rule_effect import Preview
from sites.models import Client


def of_rules(rules: Sequence[RuleShown]) -> str:
    """How many copies the book keeps, by how many rules, and how many are marked."""
    marked = sum(rule.held.marked for rule in rules)
    kept = sum(rule.held.copies for rule in rules) - marked
    by = "one rule" if len(rules) == 1 else f"{len(rules)} rules"
    return f"The book keeps {_copies(kept)} by {by}; {_are_marked(marked)}."


def of_marked(copies: int, meshes: int) -> str:
    """How many copies are marked, of how many meshes."""
    if not copies:
        return "No copy is marked to go."
    of = "one mesh" if meshes == 1 else f"{counted(meshes)} meshes"
    verb = "is" if copies == 1 else "are"
    return f"{_copies(copies)[0].upper()}{_copies(copies)[1:]} of {of} {verb} marked to go."


def of_rule(row: KeepRule) -> str:
    """What the page of one rule asks."""
    return f"What does the rule {row.name} keep?" if row.pk else "What does the new rule keep?"


def of_effect(found: Preview) -> str:
    """What a change would do, before it is saved."""
    total = found.total
    if not total:
        return "This would mark no copy and take the mark off none."
    deeds = []
    if total.marked:
        deeds.append(f"mark {_copies(total.marked)} to go")
    if total.sooner:
        deeds.append(f"let {_copies(total.sooner)} go with the next round")
    if total.unmarked:
        deeds.append(f"keep {_copies(total.unmarked)} that would have gone")
    homes = "one home" if len(found.homes) == 1 else f"{counted(len(found.homes))} homes"
    return f"This would {_listed(deeds)}, in {homes}."


def of_mesh_keeping(mesh: Mesh, rule: KeepRule, copies: int, marked: int) -> str:
    """How many copies of a mesh are kept by which rule, and how many are marked."""
    return f"{mesh.code} keeps {_copies(copies)} by the rule {rule.name}; {_are_marked(marked)}."


def of_client_keeping(client: Client, rule: KeepRule, is_own: bool) -> SafeString:
    """By which rule the copies of a client's homes are kept."""
    whose = "chosen for this client" if is_own else "the book's own"
    line = 'Copies of <bdi lang="{}">{}</bdi> are kept by the rule {}, {}.'
    return format_html(line, client.language, client.name, rule.name, whose)


def _listed(deeds: list[str]) -> str:
    return deeds[0] if len(deeds) == 1 else f"{', '.join(deeds[:-1])} and {deeds[-1]}"


def _copies(count: int) -> str:
    return "one copy" if count == 1 else f"{counted(count)} copies"


def _are_marked(count: int) -> str:
    if not count:
        return "none is marked to go"
    return "one is marked to go" if count == 1 else f"{counted(count)} are marked to go"
