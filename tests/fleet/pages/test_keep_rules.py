"""The keep rules on pages: what each holds, what a change would do, and who may save it."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from fleet.models import ClientKeepRule, Custody, JournalEntry, KeepRule
from fleet.verbs.keep import apply_rule
from tests import make

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
NUMBERS = {"days": 10, "weeks": 0, "months": 0, "years": 0, "grace_days": 7, "freshness_hours": 168}


@pytest.fixture
def usual():
    return make.keep_rule(name="Usual", is_default=True, **NUMBERS)


@pytest.fixture
def mesh(usual):
    mesh = make.mesh(site=make.site(code="KELP-7"))
    for age in range(10):
        make.snapshot(mesh, taken_at=make.NOW - age * DAY)
    apply_rule(mesh, make.NOW, True)
    return mesh


def filled(rule, **numbers):
    return {"name": rule.name, **NUMBERS, "is_default": "on", **numbers}


def seen(marked=0, unmarked=0, sooner=0):
    return {"seen-marked": marked, "seen-unmarked": unmarked, "seen-sooner": sooner}


def effect(client, rule, **numbers):
    return client.get(reverse("keep-rule", args=[rule.pk]), {"act": "show", **filled(rule, **numbers)})


def save(client, rule, then=None, **numbers):
    url = reverse("keep-rule", args=[rule.pk])
    return client.post(url, {**filled(rule, **numbers), **(then or {})}, follow=True)


def words(answer) -> str:
    return " ".join(strip_tags(answer.content.decode()).split())


def second(name="tomasz"):
    make.person(username=name, first_name="Tomasz", last_name="Ibe")
    return {"second_name": name, "second_password": make.PASSWORD}


def test_the_first_line_says_how_much_is_kept_and_marked(as_owner, mesh):
    mesh.snapshots.filter(taken_at__lt=make.NOW - 8 * DAY).update(custody=Custody.DOOMED, doomed_at=make.NOW)
    answer = as_owner.get(reverse("keep-rules"))
    assert "The book keeps 9 copies by one rule; one is marked to go." in words(answer)


def test_a_book_without_rules_names_the_usual_numbers(as_owner):
    assert "14 days, 8 weeks, 12 months, 5 years" in words(as_owner.get(reverse("keep-rules")))


def test_each_rule_says_how_many_meshes_and_copies_go_by_it(as_owner, mesh):
    other = make.mesh()
    make.sealed_body(make.snapshot(other), sealed=bytes(321))
    ClientKeepRule.objects.create(client=other.site.client, rule=make.keep_rule(name="Guesthouse"))
    held = {rule.row.name: rule.held for rule in as_owner.get(reverse("keep-rules")).context["rules"]}
    assert (held["Usual"].meshes, held["Usual"].copies) == (1, 10)
    assert (held["Guesthouse"].meshes, held["Guesthouse"].copies, held["Guesthouse"].octets) == (1, 1, 321)


def test_the_list_takes_the_same_statements_however_long_it_is(as_owner, mesh, django_assert_num_queries):
    for _ in range(12):
        make.mesh(keep_rule=make.keep_rule())
    with django_assert_num_queries(6):  # session, person, rules, meshes, copies, octets
        as_owner.get(reverse("keep-rules"))


def test_the_effect_is_shown_home_by_home_and_nothing_is_saved(as_owner, usual, mesh):
    answer = effect(as_owner, usual, days=7)
    assert "This would mark 3 copies to go, in one home." in words(answer)
    assert "KELP-7" in words(answer)
    usual.refresh_from_db()
    assert usual.days == 10


def test_a_change_that_does_nothing_to_copies_says_so(as_owner, usual, mesh):
    assert "This would mark no copy" in words(effect(as_owner, usual, name="Ours"))


def test_a_large_change_asks_for_a_second_person(as_owner, usual, mesh):
    text = words(effect(as_owner, usual, days=7))
    assert "This takes 30 % of the 10 copies that the book keeps." in text
    assert "Password of the second person" in text


def test_it_is_not_saved_without_one(as_owner, usual, mesh):
    answer = save(as_owner, usual, seen(marked=3), days=7)
    assert "a second person must agree" in words(answer)
    usual.refresh_from_db()
    assert usual.days == 10


def test_it_is_not_saved_with_a_wrong_password(as_owner, usual, mesh):
    wrong = {**second(), "second_password": "guessed"}
    save(as_owner, usual, {**seen(marked=3), **wrong}, days=7)
    usual.refresh_from_db()
    assert usual.days == 10


def test_it_is_not_saved_by_the_same_person_twice(as_owner, usual, mesh):
    self = {"second_name": "orla", "second_password": make.PASSWORD}
    save(as_owner, usual, {**seen(marked=3), **self}, days=7)
    usual.refresh_from_db()
    assert usual.days == 10


def test_two_people_save_it(as_owner, usual, mesh):
    save(as_owner, usual, {**seen(marked=3), **second()}, days=7)
    usual.refresh_from_db()
    assert usual.days == 7
    line = JournalEntry.objects.get(what="keep rule changed")
    assert (line.who, line.details["second"]) == ("Orla Hentsch", "Tomasz Ibe")


def test_the_password_is_nowhere_in_the_answer_or_the_journal(as_owner, usual, mesh):
    answer = save(as_owner, usual, {**seen(marked=2), **second()}, days=7)
    assert make.PASSWORD not in answer.content.decode()
    assert make.PASSWORD not in str(list(JournalEntry.objects.values_list("details", flat=True)))


def test_a_change_that_nobody_saw_the_effect_of_is_not_saved(as_owner, usual, mesh):
    save(as_owner, usual, days=11)
    usual.refresh_from_db()
    assert usual.days == 10


def test_an_effect_that_has_grown_is_shown_again(as_owner, usual, mesh):
    answer = save(as_owner, usual, {**seen(marked=1), **second()}, days=7)
    assert "The book has changed since" in words(answer)
    assert "This would mark 3 copies to go" in words(answer)


def test_what_was_filled_in_can_be_changed_once_more(as_owner, usual, mesh):
    answer = effect(as_owner, usual, days=7)
    again = as_owner.get(reverse("keep-rule", args=[usual.pk]) + answer.context["edit"])
    assert 'name="days" value="7"' in again.content.decode()
    assert "What does the rule Usual keep?" in words(again)


@pytest.mark.parametrize(
    ("field", "value", "right"),
    [
        ("days", "-1", "0 to 9999"),
        ("grace_days", "10000", "0 to 9999"),
        ("freshness_hours", "0", "1 to 8760"),
    ],
)
def test_a_number_that_cannot_be_is_named_with_what_would_be_right(as_owner, usual, field, value, right):
    assert f"{value} cannot be; write {right}." in words(effect(as_owner, usual, **{field: value}))


def test_the_books_own_rule_cannot_simply_stop_being_that(as_owner, usual):
    assert "make another one the book's own instead" in strip_tags(
        effect(as_owner, usual, is_default="").content.decode()
    ).replace("&#x27;", "'")


def test_a_new_rule_is_entered(as_owner, usual):
    data = {**filled(usual), "name": "Short", "is_default": "", **seen()}
    as_owner.post(reverse("keep-rule-new"), data)
    assert set(KeepRule.objects.values_list("name", flat=True)) == {"Usual", "Short"}


def test_fifty_homes_stand_on_a_leaf(as_owner, usual):
    for place in range(51):
        mesh = make.mesh(site=make.site(code=f"HOME-{place}"))
        for age in range(2):
            make.snapshot(mesh, taken_at=make.NOW - age * DAY)
    answer = effect(as_owner, usual, days=1, page=2)
    assert len(answer.context["page"].object_list) == 1
    assert "Leaf 2 of 2, 51 rows" in words(answer)


def test_what_is_marked_in_the_book_stands_by_mesh_with_its_first_day(as_owner, mesh):
    mesh.snapshots.filter(taken_at__lt=make.NOW - 7 * DAY).update(custody=Custody.DOOMED, doomed_at=make.NOW)
    text = words(as_owner.get(reverse("marked")))
    assert "2 copies of one mesh are marked to go." in text
    assert "2 Apr 2027, 10:00 Oslo" in text


def test_with_nothing_marked_the_page_says_so(as_owner, mesh):
    assert "No copy is marked to go." in words(as_owner.get(reverse("marked")))
