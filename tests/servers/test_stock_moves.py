"""A thousand moves by four writers at once: what lies where stays exact, and nothing is in two places."""

import random
from functools import partial

import pytest

from fleet.models import Place, Radio, StockMove
from fleet.verbs.stock import StockRefused, move_radio
from tests import make
from tests.servers.together import at_once

pytestmark = pytest.mark.django_db(transaction=True)

WRITERS, MOVES, RADIOS, PLACES = 4, 250, 12, 5


def wander(seed: int) -> int:
    """So many moves of radios drawn at random; how many were refused because another was quicker."""
    draw, refused = random.Random(seed), 0
    places = list(Place.objects.order_by("pk"))
    for _ in range(MOVES):
        radio = Radio.objects.select_related("place").get(code=f"R{draw.randrange(RADIOS)}")
        target = draw.choice([place for place in places if place != radio.place])
        try:
            move_radio(radio, target, radio.place, "", f"writer {seed}", make.NOW)
        except StockRefused:
            refused += 1
    return refused


def test_sums_are_exact_after_a_thousand_moves_by_four_writers():
    places = [make.place() for _ in range(PLACES)]
    model = make.radio_model()
    began = {}
    for number in range(RADIOS):
        radio = make.radio(code=f"R{number}", model=model, place=places[number % PLACES])
        began[radio.code] = radio.place_id

    refused = at_once(*(partial(wander, seed) for seed in range(WRITERS)))

    assert all(isinstance(each, int) for each in refused), refused
    assert StockMove.objects.count() + sum(refused) == WRITERS * MOVES
    for radio in Radio.objects.all():
        at = began[radio.code]
        for move in radio.moves.order_by("id"):
            assert move.source_id == at  # each move begins where the one before it ended
            at = move.target_id
        assert at == radio.place_id
    for place in places:
        arrived = place.moves_in.count() + sum(at == place.pk for at in began.values())
        assert arrived - place.moves_out.count() == place.radios.count() >= 0
