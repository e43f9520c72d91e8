"""The second person of a command: somebody real of the book, proven by a password that is never an argument."""

from argparse import ArgumentParser
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError
from django.utils import timezone

from fleet.management import second
from fleet.models import JournalEntry
from sites import access
from sites.models import Person, Role
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def pekka() -> Person:
    return make.person(username="pekka", first_name="Pekka", last_name="Ode")


def named(*words: str, by: str = "Orla", allowed=access.may_change) -> Person | None:
    parser = ArgumentParser()
    second.add_second(parser, "who agrees")
    return second.second_named({**vars(parser.parse_args(words)), "by": by}, allowed)


def from_file(tmp_path, password: str, name: str = "pekka", **given) -> Person | None:
    path = tmp_path / "password"
    path.write_text(password)
    return named("--second", name, "--second-password-file", str(path), **given)


@pytest.mark.parametrize("end", ["", "\n", "\r\n"])
def test_a_password_from_a_file_proves_them(pekka, tmp_path, end):
    assert from_file(tmp_path, make.PASSWORD + end) == pekka


def test_a_password_from_standard_input_proves_them(pekka, monkeypatch):
    monkeypatch.setattr("sys.stdin", StringIO(f"{make.PASSWORD}\n"))

    assert named("--second", "pekka", "--second-password-file", "-") == pekka


def test_at_a_terminal_they_are_asked_for_it(pekka, monkeypatch):
    asked = []
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr(second, "getpass", lambda prompt: asked.append(prompt) or make.PASSWORD)

    assert named("--second", "pekka") == pekka
    assert asked == ["Password of pekka, typed by themselves: "]


def test_without_a_terminal_it_says_how_to_give_the_password(pekka, monkeypatch):
    monkeypatch.setattr("sys.stdin", StringIO(make.PASSWORD))

    with pytest.raises(CommandError, match="--second-password-file"):
        named("--second", "pekka")


def test_nobody_named_is_nobody():
    assert named() is None


def test_a_password_of_nobody_is_refused(tmp_path):
    with pytest.raises(CommandError, match="--second USER"):
        named("--second-password-file", str(tmp_path / "password"))


def test_a_file_that_is_not_there_is_said(pekka, tmp_path):
    with pytest.raises(CommandError, match="cannot be read: No such file"):
        named("--second", "pekka", "--second-password-file", str(tmp_path / "none"))


@pytest.mark.parametrize("name", ["pekka", "nobody", "Pekka Ode"])
def test_a_wrong_password_proves_nobody_and_is_never_repeated(pekka, tmp_path, name):
    with pytest.raises(CommandError, match=f"--second {name}: no such person with this password") as refused:
        from_file(tmp_path, "not the password", name)

    assert "not the password" not in str(refused.value)


@pytest.mark.parametrize(
    "given",
    [
        {"is_active": False},
        {"access_ends_on": timezone.localdate() - timedelta(days=1)},
        {"role": Role.SUBCONTRACTOR, "access_ends_on": timezone.localdate() + timedelta(days=9)},
    ],
    ids=["not active", "access ended", "a partner"],
)
def test_somebody_who_may_not_agree_proves_nothing(tmp_path, given):
    make.person(username="pekka", **given)

    with pytest.raises(CommandError, match="somebody of the firm who may change the book"):
        from_file(tmp_path, make.PASSWORD)


def test_the_right_role_is_asked_for(pekka, tmp_path):
    with pytest.raises(CommandError, match="the owner or somebody of the office"):
        from_file(tmp_path, make.PASSWORD, allowed=access.may_decide)


@pytest.mark.parametrize("by", ["pekka", "PEKKA", "Pekka Ode"])
def test_nobody_is_their_own_second_person(pekka, tmp_path, by):
    with pytest.raises(CommandError, match="somebody other"):
        from_file(tmp_path, make.PASSWORD, by=by)


def test_after_five_wrong_tries_the_right_password_is_not_looked_at(pekka, tmp_path):
    for _ in range(access.WRONG_TRIES):
        with pytest.raises(CommandError, match="no such person"):
            from_file(tmp_path, "wrong")

    with pytest.raises(CommandError, match="Wait a quarter of an hour"):
        from_file(tmp_path, make.PASSWORD)


def test_a_quarter_of_an_hour_later_it_is(pekka, tmp_path):
    for _ in range(access.WRONG_TRIES):
        with pytest.raises(CommandError):
            from_file(tmp_path, "wrong")
    JournalEntry.objects.update(at=timezone.now() - timedelta(seconds=access.TRIES_SECONDS + 1))

    assert from_file(tmp_path, make.PASSWORD) == pekka


def test_right_tries_do_not_count_and_wrong_ones_stand_in_the_journal(pekka, tmp_path):
    for _ in range(2 * access.WRONG_TRIES):
        from_file(tmp_path, make.PASSWORD)
    assert not JournalEntry.objects.exists()

    with pytest.raises(CommandError):
        from_file(tmp_path, "wrong", "a password typed in the wrong place")

    line = JournalEntry.objects.get()
    assert (line.who, line.what, line.details) == (
        "Orla",
        "second person refused",
        {"second": "nobody of the book"},
    )
