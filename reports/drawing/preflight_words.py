"""The twelve pre-flight items in words, and the sentence for whatever the book says of each."""

from collections.abc import Mapping
from datetime import date, datetime, tzinfo

from reports.drawing import words
from reports.drawing.language import _, later
from reports.drawing.saying import said
from reports.facts.preflight import Checked, Item, Standing, Value, Why

ITEMS: Mapping[Item, str] = {
    Item.SNAPSHOT: later("Snapshot under 24 hours old, and sound"),
    Item.START_VALUE: later("Start value can be given out"),
    Item.VERDICT: later("Verdict neither “no” nor “untested”"),
    Item.BLANK: later("Spare is blank"),
    Item.FIRMWARE: later("Its firmware is allowed"),
    Item.WAY_BACK: later("Way back judged"),
    Item.CONNECTION: later("Connection path and driver known"),
    Item.POWER: later("Transmit power and region known"),
    Item.FALL_BACKS: later("People told their fall-backs"),
    Item.CLIMATE: later("Window and climate"),
    Item.PEOPLE: later("Licence and second person"),
    Item.ACCESS: later("Consent and access"),
}
STANDINGS: Mapping[Standing, str] = {
    Standing.MET: later("met"),
    Standing.NOT_MET: later("NOT MET"),
    Standing.NOT_KNOWN: later("not known"),
}
SAYS: Mapping[Why, str] = {
    Why.SNAPSHOT_FRESH: later("Taken {0}."),
    Why.SNAPSHOT_OLD: later("The newest sound one was taken {0}: take a new one first."),
    Why.SNAPSHOT_NONE: later("There is none: nothing to restore from."),
    Why.NUMBER_READY: later("The ledger can give one out; have it given out on the day."),
    Why.NUMBER_SPENT: later("The counter is at its end: change the network key first."),
    Why.NUMBER_NONE: later("The ledger has no line under the key in use."),
    Why.VERDICT_IS: later("Judged “{0}”; see box 7."),
    Why.VERDICT_NONE: later("Nothing sound says what this mesh asks of a radio."),
    Why.BLANK_PROVEN: later("Proven on {0} by {1}."),
    Why.BLANK_NEVER: later("Nobody has proven it: wipe it, read it back, note it."),
    Why.BLANK_USED_SINCE: later("Drilled on {0}, after the last proof: wipe it again."),
    Why.FIRMWARE_IS: later("Build {0} stands at “{1}”."),
    Why.FIRMWARE_NONE: later("Which build is on it is not recorded: read it out."),
    Why.BACK_JUDGED: later("Read and judged on the replacement; see box 8."),
    Why.BACK_UNREAD: later("Box 8 says what is known; nobody has said yet that they read it."),
    Why.BACK_UNKNOWN: later("Whether the old radio takes a number is not known."),
    Why.PATH_KNOWN: later("Path {0}."),
    Why.PATH_NONE: later("The path is not recorded: look at the controller."),
    Why.DRIVER_NONE: later("The controller has no driver for this radio."),
    Why.DRIVER_UNKNOWN: later("Path {0}; whether the controller has a driver is not known."),
    Why.POWER_KNOWN: later("{0} dBm, by the rules of {1}."),
    Why.POWER_NONE: later("The power is not recorded; the rules are those of {0}."),
    Why.FALL_BACKS_ALL: later("On record for all {0} safety devices; tell the people today."),
    Why.FALL_BACKS_SOME: later("{0} of {1} safety devices have no fall-back on record."),
    Why.FALL_BACKS_NONE: later("No safety device is on record; ask all the same."),
    Why.FALL_BACKS_TOLD: later("The people were told, for all {0} safety devices."),
    Why.WINDOW_AGREED: later("Agreed: {0} to {1}, clear of frost, night and days of rest."),
    Why.WINDOW_AGAINST: later("Agreed: {0}; against it: {1}."),
    Why.FROST_LIMIT: later("Not below {0} °C outside; look at a thermometer, mind the hour."),
    Why.NO_FROST_LIMIT: later("No limit is on record; keep clear of frost and night."),
    Why.PEOPLE_NAMED: later("{0}, licensed as the work asks."),
    Why.PEOPLE_WANTING: later("{0} is named; a licence or the second person is wanting."),
    Why.LICENCES: later("Mains licence on record: {0}. Name who goes, and the second."),
    Why.NO_LICENCE: later("Nobody's mains licence is valid today."),
    Why.CONSENT_GIVEN: later("{0} agreed. Opens: {1}."),
    Why.ACCESS_KNOWN: later("Opens: {0}. Ask for consent on the day."),
    Why.ACCESS_NONE: later("Who opens is not recorded: call first."),
    Why.NO_AGREEMENT: later("No agreement is in force today."),
}


def because(checked: Checked, zone: tzinfo | None) -> str:
    """What the book says of this item, times on the clock of the home."""
    return _(SAYS[checked.why]).format(*(_spoken(value, zone) for value in checked.values))


def _spoken(value: Value, zone: tzinfo | None) -> str:
    if isinstance(value, datetime):
        return words.moment(value, zone)
    if isinstance(value, date):
        return words.day(value)
    return words.number(value) if isinstance(value, int) else said(value)
