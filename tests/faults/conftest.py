"""One book and one running server of each kind for all tests that push to it."""

from collections.abc import Iterator

import pytest

from tests.faults.book import made
from tests.faults.serving import Served, served


@pytest.fixture(scope="session", params=["gunicorn", "waitress"])
def server(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    book = made(tmp_path_factory.mktemp(request.param))
    with served(book, request.param) as running:
        yield running
