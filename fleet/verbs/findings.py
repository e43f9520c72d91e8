"""How a finding of a check goes into a row."""

from fleet.models import Finding as FindingRow
from fleet.planning.standing import StandingFinding
from fleet.snapshots.findings import Finding


def columns_of(finding: Finding | StandingFinding) -> dict[str, str]:
    """Severity and texts, each cut to what its column holds: a long name in a document must not refuse it."""
    texts = {name: getattr(finding, name) for name in ("path", "message", "value", "expected")}
    cut = {name: text[: FindingRow._meta.get_field(name).max_length] for name, text in texts.items()}
    return {"severity": finding.severity.value, **cut}
