"""Rows to the facts of an erasure certificate."""

from datetime import datetime
from zoneinfo import ZoneInfo

from fleet.keyring import KeyRingError
from fleet.mesh.codes import is_site_code, with_check
from fleet.models import Erasure
from fleet.queries.erasure import still_opening
from reports.facts.erasure import ErasedCopy, ErasureFacts, Gone, Remaining, Stays, Went
from reports.facts.errors import FactsError
from reports.facts.head import Home, Issue
from reports.queries import home
from reports.queries.subjects import Subject

MARK_DIGITS = 8
COUNTED = (Stays.GIVEN_OUT, Stays.SHEETS, Stays.OTHER_TRAYS)


def erasure_facts(subject: Subject, issue: Issue) -> ErasureFacts:
    """Everything on the certificate of one erasure. Raises FactsError where the key ring cannot be read."""
    row = subject.erasure
    if row is None:
        raise FactsError("client: nothing was erased; a certificate is made after the client was erased.")
    zone = ZoneInfo(subject.zone)
    mark = str(row.client.uid)[:MARK_DIGITS]
    return ErasureFacts(
        issue=issue,
        firm=home.firm_facts(),
        home=Home(
            code=with_check(subject.code) if is_site_code(subject.code) else subject.code,
            client_name=row.client.name,
            zone=subject.zone,
            language=subject.language,
        ),
        mark=mark,
        erased_at=row.at.astimezone(zone).replace(microsecond=0),
        by=row.by,
        second=row.second,
        reason=row.reason,
        sealed=bool(row.ring_keys),
        gone=_gone(row),
        copies=tuple(
            ErasedCopy(
                each["mesh"], datetime.fromisoformat(each["taken_at"]).astimezone(zone), each["sha256"]
            )
            for each in row.copies
        ),
        remains=_remains(row, zone),
    )


def _gone(row: Erasure) -> tuple[Gone, ...]:
    """In the order of weight; what was none is left out."""
    known = [each.value for each in Went]
    names = [*known, *(name for name in row.erased if name not in known)]
    return tuple(Gone(name, row.erased[name]) for name in names if row.erased.get(name))


def _remains(row: Erasure, zone: ZoneInfo) -> tuple[Remaining, ...]:
    counted = [Remaining(each, row.remains[each]) for each in COUNTED if row.remains.get(each)]
    return (*_older_copies(row, zone), *counted, Remaining(Stays.RECORDS))


def _older_copies(row: Erasure, zone: ZoneInfo) -> tuple[Remaining, ...]:
    if not row.ring_keys:
        return ()  # nothing was ever sealed for this client
    try:
        opens = still_opening(row)
    except KeyRingError as error:
        raise FactsError(f"key ring: {error}") from None
    if opens:
        return (Remaining(Stays.RING_OPENS),)
    renewed = row.ring_renewed_at.astimezone(zone).date() if row.ring_renewed_at else None
    return (Remaining(Stays.RING_RENEWED, since=renewed),)
