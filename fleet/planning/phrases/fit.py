"""What the rules of compatibility say, in English; catalogues in reports/locale hold it in the other languages."""

from fleet.planning.sentences import Phrase, Sentence, later, later_many


class Fit(Phrase):
    """build, source and target: model and firmware; radio: the code of a unit."""

    CHANNEL_UNKNOWN = later("Which channels {build} may use is not known.")
    CHANNEL_FULL = later("{build} may use channel {channel} at full legal power.")
    CHANNEL_REDUCED = later("{build} runs channel {channel} at reduced power; look at the far devices.")
    CHANNEL_NOT = later("{build} may not use channel {channel} of page {page} here.")
    ADDRESS_CARRIED = later("{radio} carries the mesh's head address already.")
    ADDRESS_UNKNOWN = later("Whether {radio} can carry another radio's address is not known.")
    ADDRESS_WRITABLE = later("The address of {radio} can be written.")
    ADDRESS_FIXED = later("The address of {radio} cannot be changed.")
    ADDRESS_ONCE_UNKNOWN = later("Whether the write-once address of {radio} is used up is not known.")
    ADDRESS_ONCE_USED = later("The write-once address of {radio} is used up.")
    ADDRESS_ONCE_FREE = later("The address of {radio} can be written, once.")
    SETTING_UNKNOWN = later("Whether {what} can be set on {build} is not known.")
    SETTING_CAN = later("On {build}, {what} can be set.")
    SETTING_CANNOT = later("On {build}, {what} cannot be set; the mesh would not hear it.")
    SEQUENCE_NOUGHT = later("{build} begins at key sequence 0, which is the mesh's.")
    LINK_KEYS_DISTRIBUTED = later("Under distributed trust no link key hangs on the head radio.")
    LINK_KEYS_UNKNOWN = later("How {build} keeps link keys is not known.")
    LINK_KEYS_UNSAID = later_many(
        "The snapshot does not say how {n} device came by a link key.",
        "The snapshot does not say how {n} devices came by a link key.",
    )
    LINK_KEYS_LOST = later_many(
        "{build} cannot be given the link keys of {n} device; join these again.",
        "{build} cannot be given the link keys of {n} devices; join these again.",
    )
    LINK_KEYS_DERIVED = later_many(
        "The derived link keys of {n} device must be worked out one by one for {build}.",
        "The derived link keys of {n} devices must be worked out one by one for {build}.",
    )
    LINK_KEYS_ALL = later("{build} can be given every link key.")
    TABLE_NO_ENTRY = later("{build} needs no entry for a derived key.")
    TABLE_UNKNOWN = later("How many {what} {build} holds is not known.")
    TABLE_ENOUGH = later("{build} holds {limit} {what}; the mesh uses {used}.")
    TABLE_ENOUGH_AT_MOST = later("{build} holds {limit} {what}; the mesh uses at most {used}.")
    TABLE_UNSAID = later_many(
        "How many {what} are in use is not stated; {build} holds {limit} for {n} device.",
        "How many {what} are in use is not stated; {build} holds {limit} for {n} devices.",
    )
    TABLE_SHORT = later("{build} holds {limit} {what}, the mesh uses {used}; {over} must be joined again.")
    BINDINGS_UNSAID = later("How many bindings the head radio holds is not stated in the snapshot.")
    NO_HARVESTING = later("No device lives on harvested power.")
    REVISION_UNKNOWN = later("The stack revision of {build} is not known.")
    REVISION_FOLLOWS = later("Stack revision {after} follows {before}.")
    REVISION_BACK_PASSED = later("Stack revision goes back from {before} to {after}; that has passed before.")
    REVISION_BACK = later("Stack revision goes back from {before} to {after}; nobody has seen that work.")
    TRUST_UNSAID = later("The snapshot does not say whether trust is central.")
    TRUST_UNKNOWN = later("How {build} keeps trust is not known.")
    TRUST_CAN = later("{build} can lead with {mode} trust.")
    TRUST_CANNOT = later("{build} cannot lead with {mode} trust.")
    FIRMWARE_BARRED = later("{build} is barred.")
    FIRMWARE_IS = later("{build} is {policy}.")
    FIRMWARE_NO_POLICY = later("{build} has no policy yet; it is not in an allowed state.")
    FIRMWARE_STANDS = later('{build} stands at "{policy}"; it is not in an allowed state.')
    DRIVER_UNKNOWN = later("The connection or family of {build} is not known.")
    DRIVER_SAME = later("The controller drives this family on this connection already.")
    DRIVERS_UNKNOWN = later("What the home's controller has drivers for is not known.")
    DRIVER_SET = later("Set the controller to family {family} on a {connection} connection.")
    DRIVER_NONE = later("The controller has no driver for family {family} on a {connection} connection.")
    POWER_UNSAID = later("The snapshot does not state the transmit power.")
    POWER_UNKNOWN = later("Whether {build} can be set to {dbm} dBm is not known.")
    POWER_SHORT = later("{build} sends at most {most} dBm, not {dbm}; look at the far devices.")
    POWER_BY_HAND = later("The power of {build} is not carried over; set {dbm} dBm by hand.")
    POWER_CAN = later("{build} can be set to {dbm} dBm.")
    TRIED_NEVER = later("No drill or swap from {source} to {target} was ever tried.")
    TRIED_FAILED = later("From {source} to {target}, 0 of {trials} tries passed.")
    TRIED = later(
        "From {source} to {target}, {passes} of {trials} tries passed: at least {share} % at 95 % confidence."
    )


class Thing(Phrase):
    """What the rules speak of, as it stands within their sentences."""

    NETWORK_KEY = later("the network key")
    KEY_SEQUENCE = later("key sequence {number}")
    COUNTER = later("the outgoing frame counter")
    PAN_ID = later("the PAN ID")
    EXTENDED_PAN_ID = later("the extended PAN ID")
    LINK_KEYS = later("link keys")
    CHILDREN = later("children")
    ROUTES = later("routes")
    BINDINGS = later("bindings")
    GREEN_POWER = later("green power sinks")
    CENTRAL = later("central")
    DISTRIBUTED = later("distributed")
    SERIAL = later("serial")
    NETWORK = later("network")
    BUILT_IN = later("built in")
    SEEN = later("seen")
    TRIAL = later("trial")
    ALLOWED = later("allowed")
    PREFERRED = later("preferred")
    HOLD = later("hold")
    BARRED = later("barred")
    CLEAN = later("clean")
    CONVERTS = later("converts")
    PARTLY = later("partly")
    UNTESTED = later("untested")
    NO = later("no")


def thing(value: str) -> Sentence:
    """The word for one of the codes of capabilities and verdicts: "built_in"."""
    return Thing[value.upper()].of()
