"""What anybody may know of a sheet, and that whatever does not fit is one and the same nothing."""

from datetime import date, timedelta

import pytest

from reports.models import SheetKind
from reports.queries.verifying import KEPT_UP, Standing, said, verified, verified_file
from reports.verbs.kinds import RENEWED
from reports.verbs.signing import Signer, sign
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet():
    return make.sheet(make.site(code="KELP-7"))


def shown(sheet):
    return sheet.digest[:16].upper()


def test_a_sheet_in_force(sheet):
    found = verified(sheet.number, shown(sheet))

    assert (found.number, found.revision, found.standing) == (sheet.number, 1, Standing.IN_FORCE)
    assert (found.issued_on, found.since, found.by, found.signed) == (date(2027, 3, 26), None, None, False)


def test_the_day_is_that_of_the_home(sheet):
    sheet.site.time_zone = "Pacific/Auckland"
    sheet.site.save()
    type(sheet).objects.update(issued_at=make.NOW + timedelta(hours=5))

    assert verified(sheet.number, shown(sheet)).issued_on == date(2027, 3, 27)


def test_one_out_of_date_says_since_when(sheet):
    type(sheet).objects.update(stale_since=make.NOW + timedelta(days=2))

    found = verified(sheet.number, shown(sheet))

    assert (found.standing, found.since) == (Standing.STALE, date(2027, 3, 28))


def test_a_replaced_one_names_the_sheet_that_took_its_place(sheet):
    newer = make.sheet(sheet.site, revision=2, replaces=sheet, issued_at=make.NOW + timedelta(days=3))

    found = verified(sheet.number, shown(sheet))

    assert (found.standing, found.by, found.since) == (Standing.REPLACED, newer.number, date(2027, 3, 29))


def test_a_signed_one_tells_the_day_alone(sheet, technician):
    sign(sheet, Signer("Ingunn Sæther", "client"), technician, make.NOW + timedelta(days=1))

    found = verified(sheet.number, shown(sheet))

    assert (found.signed, found.signed_on) == (True, date(2027, 3, 27))
    assert "Ingunn" not in str(found)


@pytest.mark.parametrize("typed", ["{0}", "  {1} ", "{2}"])
def test_number_and_digest_are_taken_as_people_type_them(sheet, typed):
    number = typed.format(sheet.number, sheet.number.lower(), sheet.number.replace("-", " "))
    digest = " ".join(shown(sheet)[at : at + 4] for at in range(0, 16, 4)).lower()

    assert verified(number, digest) is not None


@pytest.mark.parametrize(
    ("number", "digest"),
    [
        ("{number}", "0" * 16),
        ("{number}", "{short}G"),
        ("{number}", ""),
        ("{number}", "é" * 16),
        ("{number}", "{short}"),
        ("{number}", "{digest}00"),
        ("H-999999-X", "{digest}"),
        ("H-999999-D", "0" * 16),
        ("", "{digest}"),
        ("\x00", "\x00"),
        ("x" * 5000, "x" * 5000),
    ],
)
def test_whatever_does_not_fit_is_nothing(sheet, number, digest, django_assert_num_queries):
    names = {"number": sheet.number, "digest": shown(sheet), "short": shown(sheet)[:15]}
    with django_assert_num_queries(1):
        found = verified(number.format(**names), digest.format(**names))
    assert found is None


def test_zeros_do_not_pass_for_a_number_that_is_not_there():
    assert verified("H-000012-0", "0" * 16) is None


def test_a_file_is_known_by_its_sha256(sheet):
    assert verified_file(sheet.sha256).number == sheet.number
    assert verified_file("0" * 64) is None


def erase(sheet):
    sheet.site.client.erased_at = make.NOW
    sheet.site.client.save()


def test_a_sheet_of_an_erased_client_is_no_longer_kept_up(sheet):
    type(sheet).objects.update(stale_since=make.NOW)
    erase(sheet)

    found = verified(sheet.number, shown(sheet))

    assert (found.standing, found.since, found.may_be_used) == (Standing.NOT_KEPT_UP, None, False)
    assert said(found).endswith("and is no longer kept up: what it shows is not compared any more.")


@pytest.mark.parametrize("kind", [SheetKind.JOB, SheetKind.DRILL, SheetKind.EVIDENCE])
@pytest.mark.parametrize("erased", [False, True])
def test_what_is_never_compared_is_not_said_to_hold(kind, erased):
    mesh = make.mesh()
    sheet = make.sheet(mesh.site, None if kind is SheetKind.EVIDENCE else mesh, kind=kind)
    if erased:
        erase(sheet)

    found = verified(sheet.number, shown(sheet))

    assert (found.standing, found.may_be_used) == (Standing.RECORD, True)
    assert said(found).endswith(
        "was issued on 26 March 2027; it shows that day and is not compared with the book."
    )


def test_the_kinds_that_are_said_to_hold_are_those_that_the_round_compares():
    assert set(KEPT_UP) == set(RENEWED)
