"""Which sections of a sheet changed, told from short digests alone."""

from dataclasses import dataclass, field, replace

from reports.facts.fingerprint import SECTION_DIGITS, changed_sections, sections
from reports.facts.head import MOVING
from tests.reports import samples


@dataclass(frozen=True)
class Inner:
    key: str
    channel: int = 20


@dataclass(frozen=True)
class Facts:
    issue: str = "H-1"
    names: tuple[str, ...] = ("Mere",)
    mesh: Inner = Inner("A")
    meshes: tuple[Inner, ...] = (Inner("A"), Inner("B"))
    age: int = field(default=3, metadata=MOVING)


def changed(before: Facts, after: Facts) -> tuple[str, ...]:
    return changed_sections(sections(before), sections(after))


def test_equal_facts_have_no_changed_section():
    assert changed(Facts(), Facts()) == ()


def test_a_changed_part_is_named_within_its_section():
    assert changed(Facts(), replace(Facts(), mesh=Inner("C"))) == ("mesh.key",)


def test_a_changed_part_of_one_of_several_is_named_too():
    assert changed(Facts(), replace(Facts(), meshes=(Inner("A"), Inner("X")))) == ("meshes.key",)


def test_one_more_of_several_changes_all_their_parts():
    assert changed(Facts(), replace(Facts(), meshes=(Inner("A"),))) == ("meshes.key", "meshes.channel")


def test_a_section_that_was_empty_before_is_named_as_a_whole():
    assert changed(replace(Facts(), meshes=()), Facts()) == ("meshes",)
    assert changed(Facts(), replace(Facts(), meshes=())) == ("meshes",)


def test_the_issue_and_what_moves_by_itself_are_no_sections():
    assert changed(Facts(), replace(Facts(), issue="H-2", age=9)) == ()


def test_a_section_is_too_short_to_find_a_name_back_from():
    assert {len(each) for each in sections(samples.kelp_recovery()).values()} == {SECTION_DIGITS}
    assert SECTION_DIGITS * 4 == 16  # bits: one of 65,536


def test_a_new_key_is_named_on_both_sheets():
    recovery, handover = samples.kelp_recovery(), samples.kelp_handover()
    rekeyed = replace(recovery, mesh=replace(recovery.mesh, key_mark="0BADCAFE"))
    meshes = tuple(replace(mesh, key_mark="0BADCAFE") for mesh in handover.meshes)

    assert changed_sections(sections(recovery), sections(rekeyed)) == ("mesh.key_mark",)
    assert changed_sections(sections(handover), sections(replace(handover, meshes=meshes))) == (
        "meshes.key_mark",
    )
