"""Same facts, same octets: in one process, after other sheets, in another process."""

import hashlib
import os
import subprocess
import sys
from dataclasses import replace
from datetime import datetime
from io import BytesIO
from zoneinfo import ZoneInfo

import pypdf
import pytest

from reports.drawing import handover, recovery
from reports.drawing.sheet import Paper
from tests.reports import samples
from tests.reports.reading import drawn

ELSEWHERE = """
import hashlib
from reports.drawing import handover, recovery
from reports.drawing.sheet import Paper
from tests.reports import samples
print(hashlib.sha256(handover.draw(samples.nasty_handover(samples.LONG_ARABIC), Paper.A4)).hexdigest())
print(hashlib.sha256(recovery.draw(samples.kelp_recovery(), Paper.LETTER)).hexdigest())
"""


def sha256(octets: bytes) -> str:
    return hashlib.sha256(octets).hexdigest()


def test_a_handover_sheet_drawn_twice_has_the_same_octets():
    assert handover.draw(samples.kelp_handover(), Paper.A4) == handover.draw(
        samples.kelp_handover(), Paper.A4
    )


def test_a_recovery_sheet_drawn_twice_has_the_same_octets():
    assert recovery.draw(samples.kelp_recovery(), Paper.A4) == recovery.draw(
        samples.kelp_recovery(), Paper.A4
    )


def test_sheets_drawn_in_between_leave_no_trace():
    before = handover.draw(samples.kelp_handover(), Paper.A4)
    for name in samples.SCRIPTS.values():
        handover.draw(samples.named(samples.kelp_handover(), name), Paper.LETTER)
    assert handover.draw(samples.kelp_handover(), Paper.A4) == before


@pytest.mark.parametrize("seed", ["0", "4711"])
def test_another_process_draws_the_same_octets(seed):
    elsewhere = {**os.environ, "PYTHONHASHSEED": seed, "SOURCE_DATE_EPOCH": "86400", "TZ": "Pacific/Chatham"}
    done = subprocess.run(
        [sys.executable, "-c", ELSEWHERE],
        env=elsewhere,
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    here = [drawn("hand-over", "nasty 0", Paper.A4), drawn("recovery", "model home", Paper.LETTER)]
    assert done.stdout.split() == [sha256(octets) for octets in here]


def test_one_changed_fact_changes_the_octets():
    facts = samples.kelp_handover()
    assert handover.draw(replace(facts, battery_disposal="the town depot"), Paper.A4) != handover.draw(
        facts, Paper.A4
    )


def metadata(issued_at: datetime) -> pypdf.DocumentInformation:
    facts = samples.kelp_handover()
    facts = replace(facts, issue=replace(facts.issue, issued_at=issued_at))
    found = pypdf.PdfReader(BytesIO(handover.draw(facts, Paper.A4))).metadata
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("zone", "written"),
    [
        ("Europe/Oslo", "D:20270326090000+01'00'"),
        ("America/St_Johns", "D:20270326090000-02'30'"),
        ("Pacific/Chatham", "D:20270326090000+13'45'"),
    ],
)
def test_the_file_is_dated_by_the_facts_in_the_zone_of_the_home(zone, written):
    issued = datetime(2027, 3, 26, 9, 0, tzinfo=ZoneInfo(zone))
    assert metadata(issued)["/CreationDate"] == written


def test_the_file_says_which_sheet_it_is():
    assert metadata(samples.ISSUED).title == "Hand-over sheet H-000012-0 · KELP-7/U"


def test_the_file_names_the_language_of_the_client():
    octets = drawn("hand-over", "model home", Paper.A4)
    assert pypdf.PdfReader(BytesIO(octets)).trailer["/Root"]["/Lang"] == "en"
