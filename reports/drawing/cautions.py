"""The cautions that every sheet carries. They defer to local codes, licensed people and makers' own papers."""

FALL_BACKS = (
    "Locks, heating in frost, smoke, water, gas and call-for-help devices: agree a manual fall-back with the people "
    "in the house before anybody touches the radio, and test each one by hand afterwards."
)
ONE_VOICE = "Never two radios on air with one identity."
NOT_SOLE = (
    "The mesh is not the only alarm and not the only way out of the house. Alarms, locks and escape routes follow "
    "their own standards, their makers' papers and local codes."
)
LICENSED = (
    "Mains work, ladders and gas: licensed people only. Gas, fire and medical systems: their own specialist. "
    "Local codes override this sheet."
)
NO_SECRETS = "Keys and codes are credentials: none is printed here, write none on it."
MAINS_AND_LADDERS = (
    "Mains terminals: licensed people only, feed off, proved dead.",
    "Gas, fire, medical systems: their own specialist.",
    "Ladders: two persons. Local codes override this sheet.",
)
ONE_IDENTITY = (
    "Unplug the old radio, take out its battery, photograph it, bag it and label it BEFORE the new one is powered.",
    "Never rehearse here: a drill needs its own place, out of radio range of this house.",
    "Do not put the old one back without a new number from box 6.",
)
