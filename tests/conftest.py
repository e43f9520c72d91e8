"""People who sign in, and a data folder of its own for every test."""

from pathlib import Path
from uuid import uuid4

import pytest
from django.core.files.storage import FileSystemStorage
from django.test import Client

from reports.models import Sheet
from sites.models import Person, Role
from tests import make


@pytest.fixture(autouse=True)
def _own_data_folder(settings, monkeypatch, tmp_path: Path) -> None:
    settings.KEYRING_FILE = tmp_path / "keyring.json"
    settings.SHEETS_FOLDER = tmp_path / "sheets"
    # Django asks a field for its storage once, when the model is loaded.
    field = Sheet._meta.get_field("file")
    monkeypatch.setattr(field, "storage", FileSystemStorage(location=settings.SHEETS_FOLDER))
    settings.MESSAGES_FOLDER = tmp_path / "messages"
    settings.MESSAGES_FOLDER.mkdir()


@pytest.fixture(autouse=True)
def _own_counts(settings) -> None:
    """Rows of two tests have the same numbers, so what is counted by them must not be shared."""
    settings.CACHES = {"default": {**settings.CACHES["default"], "KEY_PREFIX": uuid4().hex}}


@pytest.fixture(autouse=True)
def _quick_passwords(settings) -> None:
    """The usual hash takes half a second for each person whom a test makes; nothing here tests its strength."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher", *settings.PASSWORD_HASHERS]


@pytest.fixture
def owner(db) -> Person:
    return make.person(username="orla", first_name="Orla", last_name="Hentsch", role=Role.OWNER)


@pytest.fixture
def technician(db) -> Person:
    return make.person(username="noor", first_name="Noor", last_name="Vantongeren", role=Role.TECHNICIAN)


@pytest.fixture
def stranger(db) -> Person:
    """A partner who is named for no home at all."""
    return make.subcontractor(username="partner")


@pytest.fixture
def as_owner(client: Client, owner: Person) -> Client:
    client.force_login(owner)
    return client


@pytest.fixture
def as_stranger(stranger: Person) -> Client:
    signed_in = Client()
    signed_in.force_login(stranger)
    return signed_in
