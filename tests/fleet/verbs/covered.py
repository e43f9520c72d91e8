"""A mesh for which nothing is missing, as the starting point of tests that take one thing away."""

from typing import Any

from fleet.models import AddressPolicy, Grade, LimitSource, Mesh, RadioState, Resource
from tests import make

RESOURCES = ("children", "neighbours", "routes", "source_routes", "link_keys", "bindings")


def covered_mesh(**given: Any) -> Mesh:
    """Under agreement, its radio known, its copy of yesterday and seen live, a spare in the home."""
    home = make.site()
    make.agreement(home)
    model = make.radio_model(
        address_policy=AddressPolicy.REWRITABLE, channel_mask=0x07FFF800, max_power_dbm=20
    )
    for resource in RESOURCES:
        make.limit(model, Resource(resource), 64, source=LimitSource.DECLARED)
    build = make.release(
        model,
        sets_network_key=True,
        sets_key_sequence=True,
        sets_counter=True,
        sets_pan_id=True,
        sets_extended_pan_id=True,
        sets_power=True,
        stack_revision=22,
        security_modes="both",
    )
    mesh = make.mesh(
        site=home,
        power_dbm=8,
        security_mode="central",
        table_use=dict.fromkeys(RESOURCES, 4),
        **given,
    )
    head = make.radio(state=RadioState.ON_AIR, firmware=build, carried_address=mesh.head_address)
    make.service(mesh, head)
    make.node(mesh, link_key_kind="unique", link_key_held=True)
    make.snapshot(mesh, grade=Grade.SEEN_LIVE)
    make.drill(mesh, source_release=build, target_release=build)
    make.spare(firmware=build, place=make.place_at(home))
    return mesh
