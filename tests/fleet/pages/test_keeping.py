"""How long the copies of one mesh or client are kept: undo, pins, and another rule."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from fleet.models import ClientKeepRule, Custody, Pin, PinKind
from fleet.verbs.keep import apply_rule
from tests import make

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
SHORT = {"weeks": 0, "months": 0, "years": 0}
REASON = {"reason": "the insurer asks"}


@pytest.fixture
def mesh():
    """Five dailies under a rule of two days: three are marked at NOW."""
    make.keep_rule(name="Usual", is_default=True, days=2, **SHORT)
    mesh = make.mesh(site=make.site(code="KELP-7"))
    for age in range(5):
        make.snapshot(mesh, taken_at=make.NOW - age * DAY)
    apply_rule(mesh, make.NOW, True)
    return mesh


def page(client, mesh, **query) -> str:
    html = client.get(reverse("mesh-keeping", args=[mesh.code]), query).content.decode()
    return " ".join(strip_tags(html).split())


def marked(mesh):
    return mesh.snapshots.filter(custody=Custody.DOOMED)


def test_the_first_line_names_the_rule_and_what_is_marked(as_owner, mesh):
    assert "KELP-7-A keeps 2 copies by the rule Usual; 3 are marked to go." in page(as_owner, mesh)


def test_each_marked_copy_shows_the_day_it_goes(as_owner, mesh):
    assert page(as_owner, mesh).count("2 Apr 2027, 10:00 Oslo") == 3


def test_all_marked_copies_are_kept_at_once(as_owner, mesh):
    as_owner.post(reverse("keep-all", args=[mesh.code]), REASON)
    assert not marked(mesh).exists()
    assert set(Pin.objects.values_list("reason", "by")) == {("the insurer asks", "Orla Hentsch")}


def test_without_a_reason_nothing_is_kept(as_owner, mesh):
    answer = as_owner.post(reverse("keep-all", args=[mesh.code]), {"reason": " "}, follow=True)
    assert "write a reason" in answer.content.decode()
    assert marked(mesh).count() == 3


def test_one_copy_is_kept_from_its_own_page(as_owner, mesh):
    copy = marked(mesh).first()
    as_owner.post(reverse("copy-keep", args=[copy.uid]), {**REASON, "kind": "by_hand"})
    copy.refresh_from_db()
    assert copy.holds == ["kept by hand"]


def test_a_copy_that_was_erased_meanwhile_is_said_to_be_gone(as_owner, mesh):
    copy = marked(mesh).first()
    apply_rule(mesh, make.NOW + 8 * DAY, True)
    answer = as_owner.post(reverse("copy-keep", args=[copy.uid]), REASON, follow=True)
    assert "can no longer be brought back" in answer.content.decode()


def test_a_pin_is_taken_off(as_owner, mesh):
    copy = marked(mesh).first()
    as_owner.post(reverse("copy-keep", args=[copy.uid]), REASON)
    as_owner.post(reverse("pin-end", args=[Pin.objects.get().pk]))
    copy.refresh_from_db()
    assert copy.custody == Custody.DOOMED


def test_a_technician_keeps_copies_but_sets_and_lifts_no_legal_hold(client, technician, mesh):
    client.force_login(technician)
    copy, hold = marked(mesh).first(), make.pin(mesh)
    url = reverse("copy-keep", args=[copy.uid])
    assert client.post(url, {**REASON, "kind": "legal"}).status_code == 403
    assert client.post(reverse("mesh-hold", args=[mesh.code]), REASON).status_code == 403
    assert client.post(reverse("pin-end", args=[hold.pk])).status_code == 403
    assert client.post(url, REASON).status_code == 302
    assert set(Pin.objects.filter(ended_at=None).values_list("kind", "mesh", "snapshot")) == {
        ("by_hand", mesh.pk, copy.pk),
        ("legal", mesh.pk, None),
    }


def test_a_legal_hold_on_the_mesh_keeps_everything_and_shows_who_and_why(as_owner, mesh):
    as_owner.post(reverse("mesh-hold", args=[mesh.code]), {"reason": "court order 12"})
    assert not marked(mesh).exists()
    text = page(as_owner, mesh)
    assert "court order 12" in text
    assert "by Orla Hentsch" in text


def test_another_rule_for_the_mesh_shows_its_effect_first(as_owner, mesh):
    rule = make.keep_rule(name="Long", days=5, **SHORT)
    text = page(as_owner, mesh, act="show", rule=rule.pk)
    assert "This would keep 3 copies that would have gone, in one home." in text
    mesh.refresh_from_db()
    assert mesh.keep_rule is None


def test_another_rule_for_the_mesh_is_saved(as_owner, mesh):
    rule = make.keep_rule(name="Long", days=5, **SHORT)
    shown = {"seen-marked": 0, "seen-unmarked": 3, "seen-sooner": 0}
    as_owner.post(reverse("mesh-keeping", args=[mesh.code]), {"rule": rule.pk, **shown})
    mesh.refresh_from_db()
    assert mesh.keep_rule == rule


def test_the_form_of_a_mesh_does_not_change_its_rule_past_the_effect(as_owner, mesh):
    rule = make.keep_rule(days=0, **SHORT)
    data = {"code": mesh.code, "in_care": "on", "keep_rule": rule.pk}
    as_owner.post(reverse("mesh-change", args=[mesh.code]), data)
    mesh.refresh_from_db()
    assert mesh.keep_rule is None


def test_a_rule_for_a_client_is_saved_and_named(as_owner, mesh):
    rule = make.keep_rule(name="Long", days=5, **SHORT)
    shown = {"seen-marked": 0, "seen-unmarked": 3, "seen-sooner": 0}
    url = reverse("client-keeping", args=[mesh.site.client.uid])
    answer = as_owner.post(url, {"rule": rule.pk, **shown}, follow=True)
    assert ClientKeepRule.objects.get().rule == rule
    assert "by the rule Long, chosen for this client" in strip_tags(answer.content.decode())


def test_the_page_of_the_mesh_says_what_is_marked_and_whose_rule_it_is(as_owner, mesh):
    html = as_owner.get(reverse("mesh", args=[mesh.code])).content.decode()
    text = " ".join(strip_tags(html).split()).replace("&#x27;", "'")
    assert "3 are marked to go, the first not before 2 Apr 2027, 10:00 Oslo" in text
    assert "Usual, the book's own" in text
    assert "not before 2 Apr 2027" in text


def test_a_legal_hold_on_a_copy_is_one_of_law(as_owner, mesh):
    copy = mesh.snapshots.first()
    as_owner.post(reverse("copy-keep", args=[copy.uid]), {**REASON, "kind": "legal"})
    assert Pin.objects.get().kind == PinKind.LEGAL


@pytest.mark.parametrize("count", [1, 15])
def test_the_page_takes_the_same_statements_whatever_is_marked_or_held(
    as_owner, mesh, django_assert_num_queries, count
):
    for age in range(count):
        copy = make.snapshot(
            mesh, taken_at=make.NOW - (9 + age) * DAY, custody=Custody.DOOMED, doomed_at=make.NOW
        )
        make.pin(mesh, copy)
    with django_assert_num_queries(10):
        page(as_owner, mesh)
