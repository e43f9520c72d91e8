from itertools import product

import pytest

from fleet.models import RadioState
from fleet.planning.radio_states import BY_HAND, IllegalStanding, RadioStanding, insist_by_hand

S = RadioStanding


def test_the_rows_know_the_same_states():
    assert list(RadioState.values) == [state.value for state in S]


@pytest.mark.parametrize(("was", "to"), list(product(S, S)), ids=lambda state: state.value)
def test_only_what_is_written_down_may_be_set_by_hand(was, to):
    if to in BY_HAND[was]:
        insist_by_hand(was, to)
    else:
        with pytest.raises(IllegalStanding, match=f"{to.words} cannot follow {was.words}"):
            insist_by_hand(was, to)


def test_no_hand_puts_a_radio_on_air_or_takes_it_off():
    assert not any(S.ON_AIR in following for following in BY_HAND.values())
    assert BY_HAND[S.ON_AIR] == ()


@pytest.mark.parametrize("was", [S.SILENCED, S.MISSING])
def test_what_may_hold_a_key_reaches_the_shelf_through_wiping_only(was):
    def paths(state, seen):
        for to in BY_HAND[state]:
            if to in seen:
                continue
            if to is S.SHELVED:
                yield [*seen, to]
            else:
                yield from paths(to, [*seen, to])

    found = list(paths(was, [was]))
    assert found
    assert all(S.WIPED in path for path in found)
