"""Of two meshes of one home on one channel, the one moves whose move costs less."""

from fleet.planning.channel_moves import Occupant, channels_to_avoid, mover, on_same_channel

EAST, WEST = Occupant("FERN-2-A", 15, 14), Occupant("FERN-2-B", 15, 3)
FAR = Occupant("FERN-2-C", 20, 0)


def test_the_mesh_with_fewer_sleepers_moves():
    assert mover(EAST, [WEST, FAR]) is WEST
    assert mover(WEST, [EAST, FAR]) is WEST


def test_between_equals_the_later_code_moves():
    twin = Occupant("FERN-2-B", 15, 14)
    assert mover(EAST, [twin]) is twin
    assert mover(twin, [EAST]) is twin


def test_a_mesh_alone_on_its_channel_need_not_move():
    assert mover(FAR, [EAST, WEST]) is None


def test_a_mesh_whose_channel_is_not_known_shares_none():
    assert on_same_channel(Occupant("FERN-2-D", None, 1), [Occupant("FERN-2-E", None, 1)]) == ()


def test_the_one_that_moves_keeps_away_from_all_others():
    assert channels_to_avoid(WEST, [EAST, FAR]) == (15, 20)


def test_the_one_that_stays_does_not_count_the_one_that_goes():
    assert channels_to_avoid(EAST, [WEST, FAR]) == (20,)


def test_two_annexes_on_one_channel_take_one_move_and_not_two():
    moving = [mesh for mesh, other in ((EAST, WEST), (WEST, EAST)) if mover(mesh, [other]) is mesh]
    assert moving == [WEST]
