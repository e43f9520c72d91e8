import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.mesh.channels import (
    CHANNELS,
    ChannelError,
    Cost,
    WifiNeighbour,
    advise,
    centre_mhz,
    channels_in_mask,
    cost_of,
    covered_by_centre,
    free_channels,
    mask_of,
    overlap_share,
    wifi_centre_mhz,
    wifi_covers,
)

LOUD_ON_1 = WifiNeighbour(channel=1, level_dbm=-65, duty=0.5)


@pytest.mark.parametrize("channel", [10, 27, 0, -11])
def test_a_channel_outside_11_to_26_has_no_centre(channel: int) -> None:
    with pytest.raises(ChannelError, match="right is 11 to 26"):
        centre_mhz(channel)


@pytest.mark.parametrize("channel", [0, 15, 36])
def test_a_wifi_channel_outside_1_to_14_has_no_centre(channel: int) -> None:
    with pytest.raises(ChannelError, match="right is 1 to 14"):
        wifi_centre_mhz(channel)


def test_touching_edges_are_no_overlap() -> None:
    # channel 15 is 2425 MHz; 2414 is 11 MHz away, exactly half of 20 plus 1
    assert 15 not in covered_by_centre(2414, 20)


def test_a_hair_nearer_is_an_overlap() -> None:
    assert 15 in covered_by_centre(2414.01, 20)


@pytest.mark.parametrize(
    ("wifi_mhz", "share"), [(2405, 1.0), (2414, 1.0), (2415, 0.5), (2416, 0.0), (2440, 0.0)]
)
def test_the_share_of_a_channel_under_wifi_falls_from_one_to_nothing(wifi_mhz: float, share: float) -> None:
    # channel 11 spans 2404-2406 MHz, the Wi-Fi its centre -10 to +10 MHz
    assert overlap_share(11, wifi_mhz, 20) == share


@pytest.mark.parametrize("width", [0, -20, 200, float("nan")])
def test_an_impossible_width_is_refused(width: float) -> None:
    with pytest.raises(ChannelError, match="right is above 0 and at most 100"):
        wifi_covers(6, width)


def test_without_wifi_every_channel_is_free() -> None:
    assert free_channels([]) == frozenset(range(11, 27))


def test_bits_of_other_bands_in_a_mask_are_left_out() -> None:
    assert channels_in_mask(0x0000_8FFF) == {11, 15}


@pytest.mark.parametrize("mask", [-1, 0x0800_0000, 1 << 32])
def test_a_mask_of_another_page_is_refused(mask: int) -> None:
    with pytest.raises(ChannelError, match="right is page 0"):
        channels_in_mask(mask)


def test_a_mask_of_a_channel_outside_the_band_is_refused() -> None:
    with pytest.raises(ChannelError, match="channel 27"):
        mask_of([11, 27])


def test_a_channel_named_twice_sets_its_bit_once() -> None:
    assert mask_of([11, 11]) == 0x800


@given(st.sets(st.sampled_from(CHANNELS)))
def test_a_mask_gives_its_channels_back(channels: set[int]) -> None:
    assert channels_in_mask(mask_of(channels)) == channels


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({}, "either a channel"),
        ({"channel": 6, "centre_mhz": 2437.0}, "either a channel"),
        ({"channel": 36}, "right is 1 to 14"),
        ({"centre_mhz": 5180.0}, "right is 2400 to 2500"),
        ({"channel": 6, "duty": 1.1}, "share from 0 to 1"),
        ({"channel": 6, "duty": -0.1}, "share from 0 to 1"),
        ({"channel": 6, "level_dbm": 60.0}, "right is -120 to 30 dBm"),
        ({"channel": 6, "width_mhz": 0.0}, "right is above 0"),
    ],
)
def test_an_impossible_neighbour_is_refused(fields: dict[str, float], says: str) -> None:
    with pytest.raises(ChannelError, match=says):
        WifiNeighbour(**{"level_dbm": -60.0, "duty": 0.2, **fields})  # type: ignore[arg-type]


def test_the_wifi_part_of_a_cost_is_duty_times_level_times_share() -> None:
    # half of the time, 10 dB above the threshold of -75 dBm, fully covered: 0.5 * 10 = 5
    assert cost_of(12, [LOUD_ON_1]).wifi == pytest.approx(5.0)


def test_wifi_parts_of_several_neighbours_add_up() -> None:
    assert cost_of(12, [LOUD_ON_1, LOUD_ON_1]).wifi == pytest.approx(10.0)


def test_a_neighbour_that_does_not_overlap_costs_nothing() -> None:
    assert cost_of(20, [LOUD_ON_1]).wifi == 0.0


def test_every_part_of_a_cost_is_shown() -> None:
    cost = cost_of(26, [], own_meshes=[26, 11, 26], reduced_power_channels={25, 26})

    assert cost == Cost(26, wifi=0.0, own_meshes=20.0, reduced_power=0.01, bluetooth=0.01, noise=0.01)


def test_the_total_of_a_cost_is_the_sum_of_its_parts() -> None:
    assert Cost(11, wifi=1.0, own_meshes=2.0, reduced_power=3.0, bluetooth=4.0, noise=5.0).total == 15.0


def test_a_mesh_under_loud_wifi_is_told_to_move() -> None:
    advice = advise(12, [LOUD_ON_1])

    assert (advice.best.channel, advice.move) == (15, True)


def test_the_gain_is_the_ratio_of_costs_in_decibels() -> None:
    # (5 + 0.01) / 0.01 = 501, which is 27.0 dB
    assert advise(12, [LOUD_ON_1]).gain_db == pytest.approx(27.0, abs=0.01)


def test_a_mesh_on_a_quiet_channel_stays_where_it_is() -> None:
    advice = advise(18, [LOUD_ON_1])

    assert (advice.best.channel, advice.gain_db, advice.move) == (18, 0.0, False)


def test_a_gain_of_six_decibels_or_less_moves_nobody() -> None:
    # 0.3 * 10^-1 = 0.03 on the noise of 0.01: 4 to 1, which is 6.02 dB; 0.29: 5.91 dB
    just_too_little = WifiNeighbour(channel=1, level_dbm=-85, duty=0.29)

    advice = advise(12, [just_too_little])

    assert (advice.best.channel, advice.move) == (15, False)


def test_a_gain_just_above_six_decibels_moves() -> None:
    assert advise(12, [WifiNeighbour(channel=1, level_dbm=-85, duty=0.3)]).move is True


def test_channel_26_at_reduced_power_is_no_reason_to_move_by_itself() -> None:
    assert advise(26, [], reduced_power_channels={25, 26}).move is False


def test_two_own_meshes_on_one_channel_are_a_reason_to_move() -> None:
    advice = advise(20, [], own_meshes=[20])

    assert (advice.best.channel, advice.move) == (11, True)


def test_among_equal_channels_a_preferred_one_wins() -> None:
    assert advise(12, [LOUD_ON_1], allowed=[17, 18, 20, 21]).best.channel == 20


def test_only_allowed_channels_are_advised() -> None:
    assert advise(12, [LOUD_ON_1], allowed=[11, 13]).best.channel in {11, 12, 13}


def test_an_advice_shows_the_cost_of_every_allowed_channel() -> None:
    assert [cost.channel for cost in advise(12, [], allowed=[20, 11]).costs] == [11, 20]


def test_channel_26_comes_last_where_all_is_quiet() -> None:
    costs = advise(15, []).costs

    assert max(costs, key=lambda cost: cost.total).channel == 26
