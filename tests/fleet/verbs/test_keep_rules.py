"""Changing a keep rule: the effect first, then saved, by two people where it is large."""

from datetime import timedelta

import pytest

from fleet.models import ClientKeepRule, Custody, JournalEntry, KeepRule
from fleet.planning.rule_change import Effect
from fleet.verbs.keep import apply_rule
from fleet.verbs.keep_rules import ClientChoice, MeshChoice, RuleEdited, RuleRefused, effect_of, save
from tests import make

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
SHORT = {"weeks": 0, "months": 0, "years": 0}


@pytest.fixture
def usual():
    return make.keep_rule(name="Usual", is_default=True, days=10, **SHORT)


def mesh_with(copies, home="KELP-7", **given):
    mesh = make.mesh(site=make.site(code=home), **given)
    for age in range(copies):
        make.snapshot(mesh, taken_at=make.NOW - age * DAY)
    apply_rule(mesh, make.NOW, True)
    return mesh


def edited(rule, **numbers):
    row = KeepRule.objects.get(pk=rule.pk)
    for name, value in numbers.items():
        setattr(row, name, value)
    return RuleEdited(row)


def test_the_effect_is_counted_home_by_home_and_nothing_is_saved(usual):
    mesh_with(10)
    mesh_with(8, "GULL-5")

    found = effect_of(edited(usual, days=7), make.NOW)

    assert [(home.code, home.effect.marked) for home in found.homes] == [("KELP-7", 3), ("GULL-5", 1)]
    assert (found.total, found.kept, found.meshes, found.copies) == (Effect(marked=4), 18, 2, 18)
    usual.refresh_from_db()
    assert usual.days == 10


def test_the_next_round_marks_exactly_what_was_foretold(usual):
    mesh = mesh_with(10)
    change = edited(usual, days=7)
    foretold = effect_of(change, make.NOW).total
    save(change, "Orla", make.NOW, second="Tomasz")

    report = apply_rule(mesh, make.NOW + timedelta(hours=1), True)

    assert (report.marked, report.unmarked) == (foretold.marked, foretold.unmarked)


def test_a_wider_rule_says_how_many_it_brings_back(usual):
    mesh_with(12)

    assert effect_of(edited(usual, days=11), make.NOW).total == Effect(unmarked=1)


def test_a_home_with_a_rule_of_its_own_is_not_touched(usual):
    mesh_with(10, keep_rule=make.keep_rule(days=10, **SHORT))

    assert effect_of(edited(usual, days=1), make.NOW).homes == ()


def test_a_mesh_out_of_care_is_not_counted(usual):
    mesh_with(10, in_care=False)

    assert not effect_of(edited(usual, days=1), make.NOW).total


def test_what_people_and_the_law_hold_is_not_counted(usual):
    mesh = mesh_with(10)
    make.pin(mesh)

    assert not effect_of(edited(usual, days=1), make.NOW).total


def test_more_than_five_percent_is_not_saved_by_one_person(usual):
    mesh_with(10)

    with pytest.raises(RuleRefused, match="a second person must agree") as refused:
        save(edited(usual, days=9), "Orla", make.NOW)

    assert refused.value.preview.total == Effect(marked=1)
    usual.refresh_from_db()
    assert usual.days == 10
    assert not JournalEntry.objects.exists()


def test_a_second_person_makes_it_possible_and_is_named(usual):
    mesh_with(10)

    save(edited(usual, days=9), "Orla", make.NOW, second="Tomasz")

    usual.refresh_from_db()
    line = JournalEntry.objects.get(what="keep rule changed")
    assert usual.days == 9
    assert (line.who, line.details["second"], line.details["days"]) == ("Orla", "Tomasz", "10 to 9")
    assert line.details["marks"] == 1


def test_one_person_is_not_two(usual):
    mesh_with(10)

    with pytest.raises(RuleRefused, match="somebody other"):
        save(edited(usual, days=9), "Orla", make.NOW, second="orla")


def test_a_small_change_is_for_one_person(usual):
    mesh_with(9)
    make.mesh()
    lone = mesh_with(20, "GULL-5", keep_rule=make.keep_rule(days=20, **SHORT))

    save(edited(lone.keep_rule, days=19), "Orla", make.NOW)

    assert KeepRule.objects.get(pk=lone.keep_rule_id).days == 19


def test_an_effect_that_has_grown_since_it_was_shown_is_not_saved(usual):
    mesh = mesh_with(10)
    seen = effect_of(edited(usual, days=9), make.NOW).total
    make.pin(mesh, mesh.snapshots.first())
    make.mesh(site=make.site(code="GULL-5"))
    mesh_with(10, "FERN-2")

    with pytest.raises(RuleRefused, match="has changed since"):
        save(edited(usual, days=9), "Orla", make.NOW, seen=seen, second="Tomasz")


def test_the_books_own_rule_is_one(usual):
    other = make.keep_rule(days=10, **SHORT)

    save(edited(other, is_default=True), "Orla", make.NOW)

    usual.refresh_from_db()
    assert (usual.is_default, KeepRule.objects.get(is_default=True)) == (False, other)


def test_another_rule_as_the_books_own_shows_its_effect(usual):
    mesh_with(10)
    other = make.keep_rule(days=4, **SHORT)

    assert effect_of(edited(other, is_default=True), make.NOW).total == Effect(marked=6)


def test_a_new_rule_that_nobody_chose_does_nothing(usual):
    mesh_with(10)

    save(RuleEdited(KeepRule(name="Short", days=1, **SHORT)), "Orla", make.NOW)

    assert JournalEntry.objects.get(what="keep rule entered").details["rule"] == "Short"


def test_a_rule_for_a_client_shows_its_effect_and_is_saved(usual):
    mesh = mesh_with(10)
    short = make.keep_rule(name="Short", days=3, **SHORT)
    change = ClientChoice(mesh.site.client, short)

    assert save(change, "Orla", make.NOW, second="Tomasz").total == Effect(marked=7)

    assert ClientKeepRule.objects.get(client=mesh.site.client).rule == short
    assert JournalEntry.objects.get().subject == str(mesh.site.client.uid)


def test_a_clients_rule_is_taken_back(usual):
    mesh = mesh_with(10)
    ClientKeepRule.objects.create(client=mesh.site.client, rule=make.keep_rule(days=3, **SHORT))

    assert save(ClientChoice(mesh.site.client, None), "Orla", make.NOW).total == Effect(unmarked=7)

    assert not ClientKeepRule.objects.exists()


def test_a_rule_for_one_mesh_leaves_the_others_alone(usual):
    mesh, other = mesh_with(10), mesh_with(10, "GULL-5")
    change = MeshChoice(mesh, make.keep_rule(days=3, **SHORT))

    assert [home.code for home in effect_of(change, make.NOW).homes] == ["KELP-7"]

    save(change, "Orla", make.NOW, second="Tomasz")
    mesh.refresh_from_db()
    other.refresh_from_db()
    assert (mesh.keep_rule, other.keep_rule) == (change.rule, None)


def test_a_shorter_grace_counts_what_goes_with_the_next_round(usual):
    mesh = mesh_with(12)
    mesh.snapshots.filter(custody=Custody.DOOMED).update(doomed_at=make.NOW - 5 * DAY)

    assert effect_of(edited(usual, grace_days=3), make.NOW).total == Effect(sooner=2)


def test_a_book_without_a_rule_goes_by_the_usual_numbers():
    mesh_with(20)

    found = effect_of(RuleEdited(KeepRule(name="Ours", is_default=True, days=13, weeks=8)), make.NOW)

    assert found.total == Effect(marked=1)


def test_the_effect_over_many_homes_takes_the_same_statements(usual, django_assert_num_queries):
    for place in range(12):
        mesh_with(3, f"HOME-{place + 1}")
    change = edited(usual, days=1)

    with django_assert_num_queries(8):  # rules, choices, meshes twice, copies, pins, swaps, kept
        effect_of(change, make.NOW)
