from itertools import permutations

import pytest

from fleet.planning.replacing.states import ENDED, LEGAL, IllegalMove, State, insist_on_move

DRAWN = """
asked agreed, agreed packed, packed arrived, arrived silenced, silenced written, written waking, waking accepted,
accepted closed, asked dropped, agreed dropped, packed dropped, arrived dropped, silenced backing_out,
written backing_out, waking backing_out, accepted backing_out, backing_out backed_out, backing_out stranded,
stranded waking, stranded backed_out, backed_out closed
"""
"""The moves as the trade draws them (common practice, no source), written down a second time by hand."""
LEGAL_PAIRS = {tuple(State(word) for word in pair.split()) for pair in DRAWN.replace("\n", " ").split(",")}
PAIRS = list(permutations(State, 2))


def test_there_are_thirteen_states_and_156_ordered_pairs():
    assert (len(State), len(PAIRS), len(LEGAL_PAIRS)) == (13, 156, 21)


@pytest.mark.parametrize(("was", "to"), PAIRS, ids=lambda state: state.value)
def test_only_the_drawn_moves_pass(was, to):
    if (was, to) in LEGAL_PAIRS:
        insist_on_move(was, to)
    else:
        with pytest.raises(IllegalMove, match=f"{to.words} cannot follow {was.words}"):
            insist_on_move(was, to)


@pytest.mark.parametrize("state", State)
def test_no_state_follows_itself(state):
    with pytest.raises(IllegalMove):
        insist_on_move(state, state)


def test_only_closed_and_dropped_have_nothing_after_them():
    assert {state for state in State if not LEGAL[state]} == ENDED


def test_every_state_but_an_ended_one_can_still_come_to_an_end():
    def reaches_an_end(state, seen=frozenset()):
        if state in ENDED:
            return True
        return any(reaches_an_end(to, seen | {state}) for to in LEGAL[state] if to not in seen)

    assert all(map(reaches_an_end, State))
