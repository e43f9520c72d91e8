"""A slow replay that shares no code with the tool's: the clock goes on minute by minute, and each hand is in a state.

Only the case itself is read. Distances, ways, draws, giving out of spares and the rules are written anew: kilometres by
the spherical law of cosines, beta draws as a ratio of two gamma draws, spares by trying every way of giving them out.
"""

from itertools import combinations, permutations
from math import acos, cos, radians, sin
from random import Random

FAST, LIKELY, SLOW = (40, 70, 95), (30, 50, 75), (20, 35, 50)


def kilometres(one, other) -> float:
    if one == other:
        return 0.0
    a, b = radians(one.latitude), radians(other.latitude)
    turn = sin(a) * sin(b) + cos(a) * cos(b) * cos(radians(one.longitude - other.longitude))
    return 6371.0088 * acos(min(1.0, turn))


def driving(km: float, speeds: tuple[int, int, int]) -> float:
    """The first ten kilometres, the next forty, and the rest, each at its speed."""
    parts = (min(km, 10), min(max(km - 10, 0), 40), max(km - 50, 0))
    return sum(60 * part / speed for part, speed in zip(parts, speeds, strict=True))


def way(one, other) -> tuple[float, float, float]:
    km = kilometres(one, other)
    if not km:
        return 0.0, 0.0, 0.0
    return (
        5 + driving(1.2 * km, FAST),
        10 + driving(1.3 * km, LIKELY),
        20 + driving(1.5 * km, SLOW),
    )


def draw_from(three: tuple[float, float, float], draw: Random) -> float:
    low, likely, high = three
    if high == low:
        return likely
    up = draw.gammavariate(1 + 4 * (likely - low) / (high - low), 1.0)
    down = draw.gammavariate(1 + 4 * (high - likely) / (high - low), 1.0)
    return low + (high - low) * up / (up + down)


def give_out(meshes) -> dict[str, str]:
    """Most meshes, and of all ways to serve so many the first in order of need; found by trying every way."""
    found: dict[str, str] = {}
    by_family: dict[str, list] = {}
    for each in sorted(meshes, key=lambda each: (not each.safety, len(each.fits), each.code)):
        by_family.setdefault(each.family, []).append(each)
    for members in by_family.values():
        spares = sorted({fit.spare for each in members for fit in each.fits})
        ways = (
            dict(zip((each.code for each in some), order, strict=True))
            for count in range(min(len(spares), len(members)), 0, -1)
            for some in combinations(members, count)
            for order in permutations(spares, count)
            if all(any(fit.spare == one for fit in each.fits) for each, one in zip(some, order, strict=True))
        )
        found |= next(ways, {})
    return found


def replay(case, given: dict[str, str], seed: int) -> dict[str, float]:
    """One run, minute by minute; when each mesh is back."""
    draw = Random(seed)
    spares = {one.code: one for one in case.spares}
    waiting = {one.code: one for one in case.meshes if one.code in given}
    hands = [
        {"who": one, "at": one.base, "busy": 0.0, "rest": 0.0, "day": None, "worked": False}
        for one in case.goers
    ]
    back: dict[str, float] = {}

    def shift_of(hand, minute):
        return next((s for s in hand["who"].shifts if s[0] <= minute < s[1]), None)

    def home_again(hand, minute):
        if hand["worked"]:
            hand["rest"] = minute + way(hand["at"], hand["who"].base)[1] + case.rest_minutes
            current = hand["day"]
            hand["done_for"] = current
        hand["at"], hand["worked"] = hand["who"].base, False

    def route(hand, one):
        spare = spares[given[one.code]]
        if spare.holder == hand["who"].code or spare.home == one.home:
            return [way(hand["at"], one.position)]
        return [way(hand["at"], spare.position), way(spare.position, one.position)]

    minute = 0.0
    while waiting and minute < case.horizon:
        for hand in hands:
            if (
                minute < hand["busy"]
                or minute < hand["rest"]
                or any(one.get("waits_for") is hand for one in hands)
            ):
                continue
            hand["waits_for"] = None
            shift = shift_of(hand, minute)
            if shift is None:
                home_again(hand, minute)
                continue
            if hand.get("done_for") == shift:
                continue
            if hand["day"] != shift:
                hand["day"], hand["worked"] = shift, False
            mine = [
                one for one in waiting.values() if spares[given[one.code]].holder in ("", hand["who"].code)
            ]
            if len(hands) < 2:
                mine = [one for one in mine if one.people < 2]
            if not mine:
                continue
            one = min(
                mine, key=lambda each: (not each.safety, sum(leg[1] for leg in route(hand, each)), each.code)
            )
            with_me = None
            if one.people > 1:
                others = [each for each in hands if each is not hand]
                with_me = min(others, key=lambda each: max(each["busy"], each["rest"]))
                if max(with_me["busy"], with_me["rest"]) > minute or shift_of(with_me, minute) is None:
                    if max(with_me["busy"], with_me["rest"]) >= shift[1]:
                        home_again(hand, minute)
                        hand["done_for"] = shift
                    else:
                        hand["waits_for"] = with_me
                    continue
            fit = next(each for each in one.fits if each.spare == given[one.code])
            tries, by_hand = three(fit.restore), three(one.joining)
            share = (1 - fit.works) + fit.works * fit.left
            first = mean(tries) + share * mean(by_hand) < mean(by_hand)
            likely = sum(leg[1] for leg in route(hand, one))
            likely += tries[1] + share * by_hand[1] if first else by_hand[1]
            if hand["worked"] and minute + likely > shift[1]:
                home_again(hand, minute)
                hand["done_for"] = shift
                continue
            there = minute + sum(draw_from(leg, draw) for leg in route(hand, one))
            if with_me:
                there = max(there, minute + draw_from(way(with_me["at"], one.position), draw))
            joining = draw_from(by_hand, draw)
            if first:
                joined = fit.left if draw.random() < fit.works else 1.0
                done = there + draw_from(tries, draw) + joined * joining
            else:
                done = there + joining
            del waiting[one.code]
            back[one.code] = done
            for each in (hand, with_me) if with_me else (hand,):
                each["day"] = shift_of(each, minute)
                each["at"], each["busy"], each["worked"] = one.position, done, True
                if each["day"] and done >= each["day"][1]:
                    home_again(each, done)
        minute += 1.0
    return back


def three(points) -> tuple[float, float, float]:
    return points.low, points.likely, points.high


def mean(three_points: tuple[float, float, float]) -> float:
    low, likely, high = three_points
    return (low + 4 * likely + high) / 6
