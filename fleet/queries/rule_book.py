"""Which keep rule each mesh goes by: its own, else its client's, else the book's default."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from django.db.models import Q

from fleet.models import ClientKeepRule, Mesh
from fleet.models import KeepRule as KeepRuleRow
from fleet.planning.keeping import KeepRule

# What a book goes by before anybody has made a rule its default; it is never saved.
USUAL = KeepRuleRow(name="usual", is_default=True)


def numbers_of(row: KeepRuleRow) -> KeepRule:
    """The row as the keep rules take it."""
    return KeepRule(row.days, row.weeks, row.months, row.years, row.grace_days)


def rule_for(mesh: Mesh) -> KeepRuleRow:
    """The rule that this mesh goes by. At most one statement, where the mesh came with its own rule and home."""
    if mesh.keep_rule is not None:
        return mesh.keep_rule
    of_client = ClientKeepRule.objects.filter(client=mesh.site.client_id)
    choices = KeepRuleRow.objects.filter(Q(is_default=True) | Q(pk__in=of_client.values("rule")))
    return choices.order_by("is_default").first() or USUAL


def default_rule() -> KeepRuleRow:
    """The rule of the book itself."""
    return KeepRuleRow.objects.filter(is_default=True).first() or USUAL


@dataclass(frozen=True, slots=True)
class NamedRule:
    """A rule as it stands in the book; key is its row's, None for one that has no row."""

    key: int | None
    name: str
    numbers: KeepRule

    @classmethod
    def of(cls, row: KeepRuleRow) -> "NamedRule":
        return cls(row.pk, row.name, numbers_of(row))


@dataclass(frozen=True, slots=True)
class RuleBook:
    """All rules and who chose which, by key; a book can be asked what it would be after a change."""

    default: NamedRule
    rules: Mapping[int, NamedRule]
    of_client: Mapping[int, int]
    of_mesh: Mapping[int, int | None] = field(default_factory=dict)

    @classmethod
    def load(cls) -> "RuleBook":
        """As the book stands. Two statements."""
        rows = list(KeepRuleRow.objects.all())
        default = next((row for row in rows if row.is_default), USUAL)
        return cls(
            NamedRule.of(default),
            {row.pk: NamedRule.of(row) for row in rows},
            dict(ClientKeepRule.objects.values_list("client", "rule")),
        )

    def rule_of(self, mesh: Mesh) -> NamedRule:
        """The rule that a mesh goes by; the mesh must have come with its home."""
        own = self.of_mesh.get(mesh.pk, mesh.keep_rule_id)
        chosen = own if own is not None else self.of_client.get(mesh.site.client_id)
        return self.default if chosen is None else self.rules[chosen]

    def with_rule(self, row: KeepRuleRow) -> "RuleBook":
        """After a rule is written as this row has it."""
        rule = NamedRule.of(row)
        rules = self.rules if row.pk is None else {**self.rules, row.pk: rule}
        stays = not row.is_default and self.default.key != row.pk
        return replace(self, rules=rules, default=self.default if stays else rule)

    def with_client(self, client: int, rule: int | None) -> "RuleBook":
        """After a client goes by this rule, or by none of their own."""
        others = {key: chosen for key, chosen in self.of_client.items() if key != client}
        return replace(self, of_client=others if rule is None else {**others, client: rule})

    def with_mesh(self, mesh: int, rule: int | None) -> "RuleBook":
        """After a mesh goes by this rule, or by none of its own."""
        return replace(self, of_mesh={**self.of_mesh, mesh: rule})
