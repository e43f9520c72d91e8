"""The job sheet of one replacement, from rows."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from fleet.mesh.codes import read_sheet_number
from fleet.models import (
    AddressPolicy,
    DrillKind,
    FirmwarePolicy,
    How,
    LinkKeyStore,
    Mesh,
    Radio,
    RadioState,
    Resource,
    SecurityModes,
)
from fleet.planning.compatibility import Verdict
from fleet.planning.phrases.swap import Swap
from fleet.planning.replacing.preflight import Item, Met
from fleet.queries.replacing.card import card_of
from fleet.queries.spares import SpareShelf
from fleet.verbs.intake import Origin, receive
from reports.facts.errors import FactsError
from reports.facts.head import Issue
from reports.facts.job import Bring, Way
from reports.models import Sheet
from reports.queries.job import job_facts
from reports.queries.subjects import again, job_of
from reports.verbs import issuing
from tests import make
from tests.documents import document, key
from tests.reports.reading import squeezed, text_of

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
SETTABLE = ("network_key", "key_sequence", "counter", "pan_id", "extended_pan_id", "power")
CAN_ALL = {f"sets_{name}": True for name in SETTABLE}


def capable(code: str, **given):
    """A build of which everything is known."""
    model = make.radio_model(
        code=code, name=code, channel_mask=0x07FF_F800, max_power_dbm=10, **given.pop("model", {})
    )
    for resource in (Resource.CHILDREN, Resource.ROUTES, Resource.LINK_KEYS, Resource.BINDINGS):
        make.limit(model, resource, 100)
    make.limit(model, Resource.GREEN_POWER, 5)
    known = {"stack_revision": 22, "security_modes": SecurityModes.CENTRAL, **CAN_ALL, **given}
    return make.release(model, **known)


@pytest.fixture
def mesh():
    make.firm()
    home = make.site(code="KELP-7", way_in="the neighbour", client=make.client(name='Ótta <b>&" Sæther'))
    make.agreement(home)
    network = make.mesh(site=home, safety_relevant=True, connection_path="/dev/serial/by-id/a2")
    head = make.radio(
        code="OLD-1",
        state=RadioState.ON_AIR,
        firmware=capable("A2"),
        carried_address=network.head_address,
        spot="hall, 2.1 m up",
    )
    make.service(network, head)
    for days in (5, 4, 3, 2, 1):
        taken_at = make.NOW - DAY * days
        body = document(network, taken_at, outgoing_counter=2_000_000 - days * 200_000)
        receive(network, body, Origin(How.PUSH, "controller"), taken_at)
    return Mesh.objects.select_related("site__client").get()


@pytest.fixture
def spare(mesh):
    """Of the same build, on a shelf 10 km away."""
    shelf = make.place(name="Shelf", latitude="68.2", longitude="14.3")
    return make.spare(code="NEW-1", firmware=mesh.periods.get().radio.firmware, place=shelf, spot="drawer P")


def facts(mesh, radio, now=make.NOW):
    subject = job_of(mesh, radio)
    return job_facts(mesh, radio, Issue("J-000001-0", 1, subject.there(now)), SpareShelf.load(), now)


def said(mesh, radio) -> str:
    sheet = issuing.issue(job_of(mesh, radio), "Orla", make.NOW)
    with sheet.file.open("rb") as held:
        return text_of(held.read())


def old_takes_a_number(mesh, can: bool | None) -> None:
    Radio.objects.filter(periods__mesh=mesh).update(firmware=capable("OLD", sets_counter=can))


def checked(found, item: Item):
    return next(each for each in found.preflight if each.item is item)


def test_its_number_begins_with_j_and_it_names_both_radios(mesh, spare):
    sheet = issuing.issue(job_of(mesh, spare), "Orla", make.NOW)

    assert read_sheet_number(sheet.number).kind == "J"
    assert (sheet.mesh, sheet.site, sheet.about) == (mesh, mesh.site, "KELP-7-A NEW-1")
    printed = said(mesh, spare)
    assert "NEW-1(AlderWorksA2)takesoverfromOLD-1." in printed
    assert 'Ótta<b>&"Sæther' in printed


def test_cautions_come_before_everything_else(mesh, spare):
    printed = said(mesh, spare)

    first = printed.index("CAUTIONS,BEFOREANYBODYTOUCHESARADIO")
    assert first < printed.index("1Where,andwhomtocall") < printed.index("8Steps")


def test_every_rule_stands_there_with_its_reason(mesh, spare):
    make.drill(mesh, source_release=spare.firmware, target_release=spare.firmware)
    found = facts(mesh, spare)

    assert len(found.fit.rules) == 19
    printed = said(mesh, spare)
    assert [each.why.text for each in found.fit.rules if squeezed(each.why.text) not in printed] == []


def test_a_pair_that_was_tried_and_fits_is_clean_with_its_lower_bound(mesh, spare):
    """One pass of one try is a lower bound of 5 % (trade rule C8)."""
    make.drill(mesh, source_release=spare.firmware, target_release=spare.firmware)

    fit = facts(mesh, spare).fit

    assert fit.verdict is Verdict.CLEAN
    assert (fit.record.trials, fit.record.passes, str(fit.record.lower_percent)) == (1, 1, "5")


def test_untested_is_never_clean(mesh, spare):
    found = facts(mesh, spare)

    assert found.fit.verdict is Verdict.UNTESTED
    assert checked(found, Item.VERDICT).met is Met.UNKNOWN


def test_devices_that_must_join_again_are_named(mesh):
    derived = capable("C3", model={"link_key_store": LinkKeyStore.DERIVED, "family": "R"})
    radio = make.spare(code="NEW-2", firmware=derived)

    fit = facts(mesh, radio).fit

    assert len(fit.rejoin) == 12
    assert "thing 1 (hall)" in fit.rejoin
    assert "12devicesmustbejoinedbyhand" in said(mesh, radio)


def test_a_spent_write_once_address_is_a_no(mesh):
    once = capable("B1", model={"address_policy": AddressPolicy.WRITE_ONCE})
    radio = make.spare(code="NEW-3", firmware=once, address_written=True)

    found = facts(mesh, radio)

    assert found.fit.verdict is Verdict.NO
    assert "Itcannottakeover.Donotbegin." in said(mesh, radio)


def test_an_old_radio_that_takes_a_number_has_a_way_back(mesh, spare):
    assert facts(mesh, spare).way_back.way is Way.WRITE
    assert "Canitbebackedout?YES" in said(mesh, spare)


def test_an_old_radio_that_takes_none_has_no_way_back_and_the_sheet_says_how_long_it_is_deaf(mesh, spare):
    old_takes_a_number(mesh, False)

    found = facts(mesh, spare)

    assert found.way_back.way is Way.DEAF
    days = int(found.way_back.days_deaf)
    assert days > 0
    assert f"nowayback,{days}day" in said(mesh, spare)
    assert "Canitbebackedout?NO" in said(mesh, spare)


def test_whether_an_old_radio_takes_a_number_may_be_unknown(mesh, spare):
    old_takes_a_number(mesh, None)

    found = facts(mesh, spare)

    assert found.way_back.way is Way.UNKNOWN
    assert checked(found, Item.WAY_BACK).met is Met.NO


def test_the_twelve_items_stand_there_in_their_order(mesh, spare):
    found = facts(mesh, spare)

    assert [each.item for each in found.preflight] == list(Item)
    assert "12Consentandaccess" in said(mesh, spare)


@pytest.mark.parametrize(
    ("hours", "met", "phrase"),
    [(-1, Met.YES, Swap.COPY_FRESH), (1, Met.NO, Swap.COPY_OLD)],
)
def test_a_snapshot_must_be_under_24_hours_old(mesh, spare, hours, met, phrase):
    newest = mesh.snapshots.order_by("-taken_at").first().taken_at
    found = facts(mesh, spare, newest + DAY + timedelta(hours=hours))

    item = checked(found, Item.COPY)
    assert (item.met, item.why.phrase) == (met, phrase)


def test_a_radio_that_was_drilled_after_its_proof_is_not_blank(mesh, spare):
    make.drill(mesh, radio=spare, done_at=make.NOW - 2 * DAY)

    item = checked(facts(mesh, spare), Item.BLANK)
    assert (item.met, item.why.phrase) == (Met.NO, Swap.BLANK_USED)


def test_a_paper_walk_through_leaves_a_radio_blank(mesh, spare):
    make.drill(mesh, radio=spare, kind=DrillKind.PAPER, done_at=make.NOW - 2 * DAY)

    assert checked(facts(mesh, spare), Item.BLANK).met is Met.YES


@pytest.mark.parametrize("policy", FirmwarePolicy)
def test_only_allowed_firmware_meets(mesh, policy):
    radio = make.spare(code="NEW-4", firmware=capable("X", policy=policy))

    met = checked(facts(mesh, radio), Item.FIRMWARE).met is Met.YES

    assert met is (policy in (FirmwarePolicy.ALLOWED, FirmwarePolicy.PREFERRED))


def test_a_safety_device_without_a_fall_back_is_not_met(mesh, spare):
    lock = mesh.nodes.order_by("pk").first()
    lock.safety_kind = "lock"
    lock.save()

    item = checked(facts(mesh, spare), Item.FALL_BACKS)

    assert (item.met, item.why.phrase) == (Met.NO, Swap.FALL_BACKS_WANTING)


@pytest.mark.parametrize(
    ("until", "met"),
    [(date(2027, 3, 25), Met.NO), (date(2027, 3, 26), Met.UNKNOWN)],
)
def test_a_mains_licence_counts_to_its_last_day(mesh, spare, until, met):
    make.licence(make.person(first_name="Noor", last_name="Vantongeren"), valid_until=until)

    item = checked(facts(mesh, spare), Item.PEOPLE)
    assert (item.met, "Noor Vantongeren" in item.reason) == (met, met is Met.UNKNOWN)


def test_that_no_agreement_is_in_force_is_said_where_nobody_has_agreed(mesh, spare):
    mesh.site.agreements.all().delete()

    item = checked(facts(mesh, spare), Item.CONSENT)
    assert (item.met, item.why.parts[0]) == (Met.NO, Swap.NO_AGREEMENT.of())


def test_the_sheet_and_the_card_say_the_same(mesh, spare):
    swap = make.replacement(mesh, old_radio=mesh.periods.get().radio, new_radio=spare, consent_by="Ótta")

    found = facts(mesh, spare).preflight

    card = [
        # The card alone says the number of this second; a sheet says when the ledger gives it.
        replace(each, why=Swap.NUMBER_LATER.of()) if each.item is Item.NUMBER else each
        for each in card_of(swap, make.NOW).findings
    ]
    assert list(found) == card
    assert squeezed(f"{found[0].reason} {found[0].act}") in said(mesh, spare)


def test_what_a_replacement_has_agreed_is_met(mesh, spare, technician):
    lock = mesh.nodes.order_by("pk").first()
    lock.safety_kind, lock.by_hand = "lock", "turn the key"
    lock.save()
    begins = make.NOW + 5 * DAY  # Wednesday morning
    window = {"begins_at": begins, "ends_at": begins + timedelta(hours=3)}
    said_so = {"technician": technician, "consent_by": "Ótta", "fall_backs_told": True}
    make.replacement(mesh, new_radio=spare, **window, **said_so)

    found = facts(mesh, spare)

    settled = (Item.FALL_BACKS, Item.WINDOW, Item.PEOPLE, Item.CONSENT)
    assert [checked(found, item).met for item in settled] == [Met.YES] * 4
    assert "Óttaagreed,andthewayinisknown." in said(mesh, spare)


def test_a_replacement_by_another_radio_agrees_nothing_here(mesh, spare, technician):
    make.replacement(mesh, technician=technician, consent_by="Ótta")

    assert checked(facts(mesh, spare), Item.CONSENT).why == Swap.NO_CONSENT.of()


def test_what_speaks_against_the_time_agreed_is_said(mesh, spare):
    sunday = make.NOW + 2 * DAY
    make.replacement(mesh, new_radio=spare, begins_at=sunday, ends_at=sunday + timedelta(hours=3))

    item = checked(facts(mesh, spare), Item.WINDOW)

    assert (item.met, item.why.phrase) == (Met.NO, Swap.WINDOW_AGAINST)


def test_what_to_take_along_names_the_radio_and_the_cable(mesh, spare):
    brought = {each.what: each.detail for each in facts(mesh, spare).bring}

    assert brought[Bring.RADIO] == "NEW-1"
    assert Bring.SERIAL_CABLE in brought
    assert brought[Bring.LADDER] == "hall, 2.1 m up"


def test_both_ways_have_their_minutes_and_the_chance_from_which_trying_pays(mesh, spare):
    estimate = facts(mesh, spare).estimate

    assert estimate.restore.low < estimate.restore.likely < estimate.restore.high
    share = estimate.restore.likely / estimate.rejoin.likely * 100
    assert abs(float(estimate.percent) - share) < 1


def test_a_spare_in_no_place_has_no_estimate(mesh):
    estimate = facts(mesh, make.spare(code="LOST-1")).estimate

    assert estimate.restore is None
    assert estimate.percent is None


def test_the_sheet_gives_no_number_out(mesh, spare):
    lines = mesh.counter_evidence.count()

    printed = said(mesh, spare)

    assert "Thispapergivesnonumberout." in printed
    assert mesh.counter_evidence.count() == lines


@pytest.mark.parametrize("state", [RadioState.ON_AIR, RadioState.MISSING, RadioState.SCRAPPED])
def test_a_radio_that_can_never_take_over_is_refused(mesh, state):
    radio = make.spare(code="NEW-5", state=state)

    with pytest.raises(FactsError, match=r"radio: NEW-5 is .*; name one that lies ready for KELP-7-A\."):
        issuing.issue(job_of(mesh, radio), "Orla", make.NOW)
    assert not Sheet.objects.exists()


def test_the_spare_of_another_home_is_refused(mesh):
    other = make.site(code="GULL-5")
    radio = make.spare(code="NEW-6", place=make.place_at(other))

    with pytest.raises(FactsError, match="radio: NEW-6 lies in GULL-5 and stays there"):
        issuing.issue(job_of(mesh, radio), "Orla", make.NOW)


def test_the_same_facts_give_the_same_sheet_again(mesh, spare):
    first = issuing.issue(job_of(mesh, spare), "Orla", make.NOW)

    assert issuing.issue(job_of(mesh, spare), "Orla", make.NOW) == first


def test_another_radio_is_another_sheet(mesh, spare):
    first = issuing.issue(job_of(mesh, spare), "Orla", make.NOW)

    second = issuing.issue(job_of(mesh, make.spare(code="NEW-7")), "Orla", make.NOW)

    assert (second.revision, second.replaces) == (1, None)
    assert first != second


def test_a_changed_fact_makes_a_revision_twice_over(mesh, spare):
    first = issuing.issue(job_of(mesh, spare), "Orla", make.NOW)
    for parking in ("behind the crane", "before the crane"):
        mesh.site.parking = parking
        mesh.site.save()
        last = issuing.issue(job_of(mesh, spare), "Orla", make.NOW)
        assert issuing.issue(job_of(mesh, spare), "Orla", make.NOW) == last

    assert last.revision == 3
    assert last.replaces.replaces == first


def test_a_sheet_knows_what_it_is_about(mesh):
    radio = make.spare(code="TWO WORDS")
    sheet = issuing.issue(job_of(mesh, radio), "Orla", make.NOW)

    subject = again(sheet)

    assert (subject.mesh, subject.radio) == (mesh, radio)


def test_no_key_is_on_it(mesh, spare):
    sheet = issuing.issue(job_of(mesh, spare), "Orla", make.NOW)
    with sheet.file.open("rb") as held:
        body = held.read()
    printed = text_of(body).lower()
    for name in (mesh.code, *(f"link {0x1000 + place}" for place in range(12))):
        assert key(name) not in body
        assert key(name).hex() not in printed


def test_a_mesh_of_which_nothing_is_known_has_its_sheet_too():
    bare, radio = make.mesh(head_address=None), make.spare(code="NEW-8")

    printed = said(bare, radio)

    assert "NOTJUDGED:nosoundsnapshotsays" in printed
    assert "notrecorded" in printed


@pytest.mark.parametrize("devices", [12, 60])
def test_the_facts_take_28_statements_whatever_the_mesh(mesh, spare, devices, django_assert_num_queries):
    for _ in range(devices - 12):
        make.node(mesh)
    shelf = SpareShelf.load()
    issue = Issue("J-000001-0", 1, job_of(mesh, spare).there(make.NOW))

    with django_assert_num_queries(28):
        job_facts(mesh, spare, issue, shelf, make.NOW)
