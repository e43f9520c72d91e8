"""What people call the sections of a sheet whose digests are kept (reports.facts.fingerprint.sections)."""

SECTIONS = {
    "accept": "what must have answered",
    "agreement": "agreement",
    "back_out": "whether the old radio can come back",
    "batteries": "batteries",
    "battery_disposal": "where batteries go",
    "checks": "first checks",
    "contacts": "people to call",
    "data_held": "what the firm keeps",
    "do_not_begin": "when not to begin",
    "duties": "what the client looks after",
    "entry": "who gives access",
    "firm": "the firm",
    "home": "the home",
    "mains": "mains parts",
    "mesh": "the mesh",
    "meshes": "the meshes",
    "mind": "warnings of the home",
    "not_to_take": "radios not to take",
    "radio": "head radio",
    "radios": "head radios",
    "rejoin": "order of joining again",
    "rejoin_hours": "hours of joining again",
    "rooms": "rooms and devices",
    "safe_tonight": "what must be safe tonight",
    "safety": "safety devices",
    "signing": "who signs",
    "sleepers": "devices to wake",
    "snapshots": "snapshot care",
    "spare": "spare radio",
    "steps": "steps of the swap",
    "stranded_since": "whether it is stranded",
    "taking": "minutes to bring it back",
    "warranties": "warranties",
    "way_in": "how to get in",
    "without_radio": "what works by hand",
}
PARTS = {
    "key_mark": "network key",
    "key_sequence": "key sequence",
    "channel": "channel",
    "pan_id": "PAN ID",
    "extended_pan_id": "extended PAN ID",
    "counts": "number of devices",
    "headroom": "headroom",
    "survey": "Wi-Fi nearby",
    "night_phone": "night number",
    "day_phone": "day number",
    "client_name": "name of the client",
    "place_lines": "address",
    "every_hours": "how often a copy is taken",
}


def section_name(name: str) -> str:
    """A section in words: "mesh.key_mark" is the mesh: network key."""
    section, _, part = name.partition(".")
    whole = SECTIONS.get(section, section.replace("_", " "))
    return f"{whole}: {PARTS.get(part, part.replace('_', ' '))}" if part else whole
