"""The recovery sheet from rows: the spare that the gates take or none, the estimate, warnings, a stranded mesh."""

from datetime import timedelta

import pytest

from fleet.models import DrillKind, DrillResult, FirmwarePolicy, How, Mesh, RadioState
from fleet.planning.hindrance import Against
from fleet.planning.readiness import assess
from fleet.queries.costs import costs_of
from fleet.queries.readiness import judged
from fleet.queries.spares import SpareShelf
from fleet.verbs.assess import assess as write_down
from fleet.verbs.intake import Origin, receive
from reports.facts.head import Issue
from reports.queries.recovery import recovery_facts
from reports.queries.subjects import recovery_of
from reports.verbs import issuing
from tests import make
from tests.documents import document
from tests.reports.reading import squeezed, text_of

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture
def mesh():
    make.firm()
    home = make.site(code="KELP-7", warnings="Steep ladder to the loft.\n\nDog.")
    make.agreement(home)
    network = make.mesh(site=home)
    make.service(network, make.radio(code="OLD-1", firmware=make.release(), state=RadioState.ON_AIR))
    taken_at = make.NOW - DAY
    receive(network, document(network, taken_at), Origin(How.PUSH, "controller"), taken_at)
    return Mesh.objects.select_related("site__client").get()


def lying(mesh, code: str, **given):
    """A radio of the build in service, on a shelf 10 km away."""
    given = {"firmware": mesh.periods.get().radio.firmware, **given}
    place = given.pop("place", None) or make.place(latitude="68.2", longitude="14.3")
    return make.spare(code=code, place=place, **given)


def facts(mesh, now=make.NOW):
    issue = Issue("R-000001-0", 1, recovery_of(mesh).there(now))
    return recovery_facts(mesh, issue, SpareShelf.load(), now)


def said(mesh) -> str:
    sheet = issuing.issue(recovery_of(mesh), "Orla", make.NOW)
    with sheet.file.open("rb") as held:
        return text_of(held.read())


def gates_take(mesh) -> str | None:
    return assess(judged(mesh, SpareShelf.load(), make.NOW).facts).spare


def test_the_spare_is_the_one_that_the_gates_take_and_not_the_nearest(mesh):
    lying(mesh, "NEAR-1", blank_proven_at=None)
    taken = lying(mesh, "FAR-1", place=make.place(latitude="68.4", longitude="15.0"))

    found = facts(mesh)

    assert gates_take(mesh) == "FAR-1"
    assert (found.spare.serial, found.not_to_take) == (taken.serial, ())


def test_a_radio_that_is_not_blank_and_barred_is_no_spare(mesh):
    barred = make.release(mesh.periods.get().radio.model, policy=FirmwarePolicy.BARRED)
    lying(mesh, "A2-0112", firmware=barred, blank_proven_at=None)

    found = facts(mesh)

    assert gates_take(mesh) is None
    assert found.spare is None
    assert found.taking is None
    assert [(each.code, each.against) for each in found.not_to_take] == [
        ("A2-0112", (Against.BARRED, Against.NOT_BLANK))
    ]
    printed = said(mesh)
    assert squeezed("No spare counts for this mesh: call the office") in printed
    assert "Thespareforit" not in printed
    assert f"build{barred.version}isbarred;notprovenblank" in printed


def test_a_radio_too_far_says_how_far_and_what_was_promised(mesh):
    lying(mesh, "A2-0140", place=make.place(latitude="40.0", longitude="-74.0"))

    (found,) = facts(mesh).not_to_take

    assert found.against == (Against.TOO_FAR,)
    assert found.promised_minutes == mesh.site.agreements.get().recovery_time_minutes
    assert found.away_minutes > found.promised_minutes


def test_a_radio_that_does_not_fit_says_why(mesh):
    model = make.radio_model(
        code="B1", name="B1", family=mesh.periods.get().radio.model.family, channel_mask=1 << 11
    )
    lying(mesh, "B1-0102", firmware=make.release(model))

    (found,) = facts(mesh).not_to_take

    assert Against.NO_FIT in found.against
    assert found.because


def test_the_estimate_is_that_of_the_board(mesh):
    lying(mesh, "A2-0110")
    write_down(mesh, SpareShelf.load(), make.NOW)
    mesh.refresh_from_db()

    taking = facts(mesh).taking

    assert (taking.low, taking.likely, taking.high) == (
        mesh.minutes_low,
        mesh.minutes_likely,
        mesh.minutes_high,
    )
    assert 0 < taking.travel < taking.likely


def test_a_spare_too_far_to_drive_is_reckoned_as_on_the_page_of_the_mesh(mesh):
    mesh.site.agreements.update(recovery_time_minutes=14 * 1440)
    lying(mesh, "A2-0110", place=make.place(latitude="40.0", longitude="14.3"))
    case, shelf = judged(mesh, SpareShelf.load(), make.NOW), SpareShelf.load()
    costs = costs_of(case, assess(case.facts), shelf)

    taking = facts(mesh).taking

    assert taking.sent
    assert (taking.likely, taking.travel) == (round(costs.restore.minutes.likely), round(costs.sent_minutes))


def test_warnings_are_minded_and_are_no_condition(mesh):
    found = facts(mesh)

    assert found.mind == ("Steep ladder to the loft.", "Dog.")
    assert not {"Steep ladder to the loft.", "Dog."} & set(found.do_not_begin)


def test_a_mesh_is_stranded_since_its_failed_swap_and_until_a_copy_shows_devices(mesh):
    failed = make.drill(
        mesh, kind=DrillKind.LIVE, result=DrillResult.FAILED, done_at=make.NOW - timedelta(hours=5)
    )

    assert facts(mesh).stranded_since == failed.done_at
    assert "STRANDEDSINCE" in said(mesh)

    failed.delete()
    assert facts(mesh).stranded_since is None


@pytest.mark.parametrize("devices", [12, 60])
def test_the_facts_take_14_statements_whatever_the_mesh(mesh, devices, django_assert_num_queries):
    for _ in range(devices - mesh.nodes.count()):
        make.node(mesh)
    lying(mesh, "A2-0110")
    shelf = SpareShelf.load()

    with django_assert_num_queries(14):
        recovery_facts(mesh, Issue("R-000001-0", 1, recovery_of(mesh).there(make.NOW)), shelf, make.NOW)
