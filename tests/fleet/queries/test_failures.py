"""How radios fail, as the page says it, with the bracketed values of trade rule C12."""

from datetime import date, timedelta

import pytest

from fleet.models import EndReason, RadioState
from fleet.planning.service_years import YEAR, Speaks
from fleet.planning.warranty import ClaimState
from fleet.queries.failures import failures
from tests import make

pytestmark = pytest.mark.django_db
NOW, TODAY = make.NOW, make.NOW.date()


def served(build, years, failed=0, radios=1, site=None):
    """Radios of this build that served so many years together; the first ones ended as failed, a month apart."""
    for n in range(radios):
        network = make.mesh(site=site)
        until = NOW - timedelta(days=30 * n) if n < failed else None
        radio = make.radio(state=RadioState.SILENCED if n < failed else RadioState.ON_AIR, firmware=build)
        make.service(
            network,
            radio,
            since=(until or NOW) - years / radios * YEAR,
            until=until,
            why_ended=EndReason.FAILED if n < failed else "",
        )


@pytest.mark.parametrize(
    ("failed", "years", "radios", "upper"),
    [
        (0, 120, 6, 0.0250),
        (2, 400, 8, 0.0157),
        (9, 380, 10, 0.0413),
        (3, 1000, 25, 0.0078),
        (0, 12, 1, 0.2496),
    ],
    ids=lambda value: f"trade-C12-{value}",
)
def test_the_bound_of_a_family_has_the_trades_values(failed, years, radios, upper):
    served(make.release(), years, failed, radios)

    (family,) = failures(NOW, TODAY).families

    assert family.rate.rate.failures == failed
    assert round(family.rate.upper, 4) == upper


def test_a_build_with_few_years_goes_by_its_family():
    model = make.radio_model()
    old, new = make.release(model, version="6.9"), make.release(model, version="6.10")
    served(old, 40, 1, 4)
    served(new, 2)

    family = failures(NOW, TODAY).families[0]

    rates = {each.build.version: each.rate for each in family.builds}
    assert (rates["6.9"].speaks, rates["6.10"].speaks) == (Speaks.BUILD, Speaks.FAMILY)
    assert rates["6.10"].upper == family.rate.upper


def test_an_upgrade_adds_its_years_and_no_failure():
    make.service(make.mesh(), until=NOW - timedelta(days=1), why_ended=EndReason.UPGRADE)

    (family,) = failures(NOW, TODAY).families

    assert (family.rate.rate.failures, family.taken_out) == (0, 1)
    assert family.rate.rate.radio_years > 1


def test_dead_on_arrival_is_counted_apart():
    build = make.release()
    served(build, 40, 0, 2)
    make.spare(firmware=build, dead_on_arrival_on=TODAY)

    (family,) = failures(NOW, TODAY).families

    assert family.rate.rate.failures == 0
    assert (family.arrivals.dead, family.arrivals.came) == (1, 3)
    assert family.arrivals.upper == pytest.approx(0.8647, abs=1e-4)  # 1 of 3, Clopper and Pearson


def test_the_largest_cluster_stands_beside_the_rate():
    build, home = make.release(), make.site()
    for n in range(3):
        at = NOW - timedelta(days=100 + n)
        make.service(make.mesh(site=home), make.radio(firmware=build), until=at, why_ended="failed")

    assert failures(NOW, TODAY).families[0].cluster.size == 3


def test_a_claim_goes_by_the_day_at_the_home():
    home = make.site(time_zone="Pacific/Chatham", latitude=None, longitude=None)
    radio = make.radio(bought_on=date(2025, 3, 26), warranty_months=24)
    # 26 March in Greenwich, 27 March on Chatham: a day too late.
    make.service(make.mesh(site=home), radio, until=NOW + timedelta(hours=4), why_ended="failed")

    (found,) = failures(NOW + timedelta(hours=5), TODAY).claims

    assert (found.on, found.claim.state) == (date(2027, 3, 27), ClaimState.NOT_COVERED)


def test_claims_that_are_due_come_first_the_nearest_day_before_the_others():
    for code, bought, months in (
        ("LATE", 2020, 12),
        ("LONG", 2026, 60),
        ("SOON", 2026, 24),
        ("WHO", 2026, None),
    ):
        make.spare(
            code=code,
            bought_on=date(bought, 1, 1),
            warranty_months=months,
            dead_on_arrival_on=date(bought, 1, 2),
        )
    make.spare(code="ASKED", dead_on_arrival_on=TODAY, claimed_on=TODAY)

    found = failures(NOW, TODAY)

    assert [each.radio.code for each in found.claims] == ["SOON", "LONG", "WHO", "LATE"]
    assert [each.radio.code for each in found.due] == ["SOON", "LONG"]
    assert [each.radio.code for each in found.claimed] == ["ASKED"]


def test_a_family_that_never_served_is_not_known_and_nothing_is_divided():
    make.spare()

    (family,) = failures(NOW, TODAY).families

    assert (family.rate.upper, family.builds, family.cluster) == (None, (), None)


def test_the_statements_are_as_many_whatever_the_book(django_assert_num_queries):
    for count in (1, 8):
        served(make.release(), 10, 1, count)
        with django_assert_num_queries(3):
            failures(NOW, TODAY)
