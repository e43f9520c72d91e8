"""Cases to play: a book of four hundred homes around a town, of which a storm takes twenty."""

from random import Random

from fleet.planning.estimating import ThreePoints
from fleet.planning.reach import Position
from fleet.planning.storm.case import Case, Fit, Goer, OutMesh, StormSpare

TOWN = Position(59.9, 10.7)
DAY = (0.0, 600.0)
LONG_DAY = (0.0, 960.0)


def shifts(day: tuple[float, float] = DAY) -> tuple[tuple[float, float], ...]:
    """The same hours for ten days."""
    begin, end = day
    return tuple((begin + 1440.0 * number, end + 1440.0 * number) for number in range(10))


RESTORE = ThreePoints(20, 40, 90)
JOINING = ThreePoints(120, 240, 480)


def spot(draw: Random, spread: float = 0.3) -> Position:
    return Position(59.9 + draw.uniform(-spread, spread), 10.7 + draw.uniform(-spread, spread))


def fit(spare: str, **given: object) -> Fit:
    return Fit(**{"spare": spare, "works": 0.8, "restore": RESTORE, "left": 0.1, "rank": 0, **given})


def mesh(code: str, *spares: str, **given: object) -> OutMesh:
    """One mesh, at the town's middle unless said otherwise."""
    defaults = {
        "home": code.rsplit("-", 1)[0],
        "position": TOWN,
        "safety": False,
        "people": 1,
        "joining": JOINING,
        "family": "P",
        "fits": tuple(map(fit, spares)),
    }
    return OutMesh(code=code, **{**defaults, **given})


def spare(code: str, **given: object) -> StormSpare:
    return StormSpare(**{"code": code, "family": "P", "position": TOWN, **given})


def goer(code: str, **given: object) -> Goer:
    return Goer(**{"code": code, "name": code, "base": TOWN, "shifts": shifts(), **given})


def book(
    seed: str,
    out: int = 20,
    homes: int = 400,
    goers: int = 3,
    spares: int = 6,
    day: tuple[float, float] = DAY,
) -> Case:
    """So many homes out of a book, three families, two spares of each; every seventh home has safety devices."""
    draw = Random(seed)
    shelf = [
        spare(
            f"S-{number}",
            family="PQR"[number % 3],
            position=spot(draw, 0.1),
            holder=f"goer-{number}" if number < 2 else "",
        )
        for number in range(spares)
    ]
    everybody = []
    for number in range(homes):
        family = draw.choice("PQR")
        size = draw.randint(10, 60)
        fits = [
            Fit(one.code, 0.85, RESTORE.times(0.7 + size / 100), 0.05, 0, 0.0)
            for one in shelf
            if one.family == family
        ]
        everybody.append(
            mesh(
                f"HOME-{number}-A",
                position=spot(draw),
                safety=number % 7 == 0,
                people=2 if number % 19 == 0 else 1,
                joining=ThreePoints(3.0 * size, 6.0 * size, 11.0 * size),
                family=family,
                fits=tuple(fits),
            )
        )
    hands = tuple(goer(f"goer-{number}", base=spot(draw, 0.1), shifts=shifts(day)) for number in range(goers))
    return Case(tuple(draw.sample(everybody, out)), tuple(shelf), hands)
