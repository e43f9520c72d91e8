"""A storm's answer in words, the same on the page and in the terminal."""

from fleet.planning.storm.answer import PERSON, PLACE, SPARE, TIME, Helps, HomeBack, StormAnswer

WANTS = {
    SPARE: "no spare is left that fits",
    PERSON: "nobody can go there",
    PLACE: "where it lies is not known",
    TIME: "not in every run within fourteen days",
}

LEAST_GAIN_HOURS = 0.05


def headline(answer: StormAnswer) -> str:
    """Who is back when, in one sentence."""
    out = len(answer.homes)
    all_homes = "the one home" if out == 1 else f"{out} homes"
    if not answer.back or answer.p90 is None:
        return f"Of {all_homes}, none is back within fourteen days."
    end = f"nine times in ten all of these are back within {span(answer.p90)}"
    if answer.back == out:
        said = "The one home comes back" if out == 1 else f"All {out} homes come back"
        return f"{said}; {end}."
    comes = "1 comes back" if answer.back == 1 else f"{answer.back} come back"
    return f"Of {all_homes}, {comes}; {end}."


def want_of(home: HomeBack) -> str:
    """Why a home is not back, or not always; empty where it is."""
    if not home.wants:
        return ""
    return f"{', '.join(home.meshes)}: {WANTS[home.wants]}"


def helping(answer: StormAnswer, most: int) -> list[str]:
    """What would help, the most first; one sentence where nothing that was tried does."""
    found = [
        help_of(each) for each in answer.helps if each.more_back > 0 or each.spared_hours >= LEAST_GAIN_HOURS
    ]
    if found:
        return found[:most]
    if answer.helps:
        return ["No one spare more at the places tried, and no one person more, would help."]
    return ["Nothing could be tried."]


def help_of(helps: Helps) -> str:
    """What one thing more would do."""
    said = []
    if helps.more_back:
        count = abs(helps.more_back)
        homes = "1 home" if count == 1 else f"{count} homes"
        said.append(f"{homes} {'more' if helps.more_back > 0 else 'fewer'} back")
    if helps.spared_hours >= LEAST_GAIN_HOURS:
        said.append(f"{helps.spared_hours:,.1f} hours without a network spared in all")
    return f"{helps.label}: {', '.join(said) or 'no gain'}"


def span(minutes: float) -> str:
    """A span as people say it: "45 min", "3 h 20 min", "2 days 4 h"."""
    whole = round(minutes)
    if whole < 60:
        return f"{whole} min"
    if whole < 2 * 1440:
        hours, rest = divmod(whole, 60)
        return f"{hours} h {rest} min" if rest else f"{hours} h"
    days, rest = divmod(round(minutes / 60), 24)
    return f"{days} days {rest} h" if rest else f"{days} days"
