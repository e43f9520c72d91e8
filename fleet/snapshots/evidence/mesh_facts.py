"""All facts of the mesh itself, in the order in which each helps to find the next."""

from datetime import datetime

from fleet.snapshots.evidence import air, details, network_key
from fleet.snapshots.evidence.scene import Scene
from fleet.snapshots.guide_facts import Fact


def choose_mesh_facts(scene: Scene, latest_heard: datetime | None) -> None:
    """Take the places of everything but head address and extended PAN ID, which were taken before."""
    scene.choose(Fact.NETWORK_KEY, network_key.network_key_hints(scene))
    scene.choose(Fact.OUTGOING_COUNTER, network_key.counter_hints(scene))
    scene.choose(Fact.CHANNEL_MASK, air.mask_hints(scene))
    scene.choose(Fact.HEAD_SHORT_ADDRESS, details.head_short_hints(scene))
    scene.choose(Fact.PAN_ID, air.pan_id_hints(scene))
    scene.choose(Fact.CHANNEL, air.channel_hints(scene))
    scene.choose(Fact.TAKEN_AT, details.time_hints(scene, latest_heard))
    for fact in details.NAMED:
        scene.choose(fact, details.named_hints(scene, fact))
    scene.choose(Fact.KEY_SEQUENCE, network_key.sequence_hints(scene))
    scene.choose(Fact.UPDATE_ID, details.update_id_hints(scene))
    scene.choose(Fact.SECURITY_MODE, details.mode_hints(scene))
    scene.choose(Fact.LINK_KEY_SEED, network_key.seed_hints(scene))
    scene.choose(Fact.FIRMWARE, details.firmware_hints(scene))
