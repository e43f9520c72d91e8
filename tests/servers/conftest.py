"""These tests fail, and never skip, where the servers are not there."""

import os

import pytest


@pytest.fixture(autouse=True)
def _real_servers() -> None:
    assert os.environ.get("SPAREBOOK_REAL_SERVERS") == "1", "run these through .ci/run"
