"""The cautions that every sheet carries. They defer to local codes, licensed people and makers' own papers.

They stand here in English and are looked up where they are set.
"""

from reports.drawing.language import later

FALL_BACKS = later(
    "Locks, heating in frost, smoke, water, gas and call-for-help devices: agree a manual fall-back with the people "
    "in the house before anybody touches the radio, and test each one by hand afterwards."
)
ONE_VOICE = later("Never two radios on air with one identity.")
NOT_SOLE = later(
    "The mesh is not the only alarm and not the only way out of the house. Alarms, locks and escape routes follow "
    "their own standards, their makers' papers and local codes."
)
LICENSED = later(
    "Mains work, ladders and gas: licensed people only. Gas, fire and medical systems: their own specialist. "
    "Local codes override this sheet."
)
NO_SECRETS = later("Keys and codes are credentials: none is printed here, write none on it.")
MAINS_AND_LADDERS = (
    later("Mains terminals: licensed people only, feed off, proved dead."),
    later("Gas, fire, medical systems: their own specialist."),
    later("Ladders: two persons. Local codes override this sheet."),
)
ONE_IDENTITY = (
    later(
        "Unplug the old radio, take out its battery, photograph it, bag it and label it BEFORE the new one is powered."
    ),
    later("Never rehearse here: a drill needs its own place, out of radio range of this house."),
    later(
        "Do not put the old one back without a number of its own, higher than any written (worked out anew; box 8)."
    ),
)
