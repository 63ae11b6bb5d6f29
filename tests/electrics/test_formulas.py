"""Formulas and tables beside the registry: what each gives, and where it refuses."""

from __future__ import annotations

from decimal import Decimal

import pytest

from ferrule.engine.electrics import adiabatic, fault_level, insulation, loop, mismatch, rcd, torque, uncertainty
from ferrule.engine.electrics.conductors import CONDUCTORS
from ferrule.engine.electrics.disconnection import Asked, CircuitKind, longest_time_s
from ferrule.engine.electrics.editions import EDITIONS, find_edition
from ferrule.engine.electrics.fuses import FUSES, find_fuse, printed_ratings, standards


def d(text: str) -> Decimal:
    """A decimal."""
    return Decimal(text)


# --- insulation ---


def test_one_circuit_is_recovered_from_the_board_with_and_without_it() -> None:
    """A board of 100 MΩ and a circuit of 25 MΩ read 20 MΩ together; 20 and 100 give the 25 back (Ohm's law)."""
    with_it = insulation.whole_board_megohm([d("25")], rest=d("100"))

    assert with_it == 20
    assert insulation.recovered_megohm(with_it, d("100")) == 25


def test_equal_readings_recover_no_circuit() -> None:
    """Where the board reads the same without the circuit, the circuit is too high to be told."""
    assert insulation.recovered_megohm(d("50"), d("50")) is None


def test_a_board_cannot_read_more_with_a_circuit_than_without() -> None:
    """Such a pair is not two readings of one board."""
    with pytest.raises(ValueError, match="no more with a circuit"):
        insulation.recovered_megohm(d("60"), d("50"))


def test_the_recovered_band_holds_the_circuit_and_opens_where_the_display_cannot_tell() -> None:
    """Half a step of the display on each reading; with readings one step apart there is no upper end."""
    low, high = insulation.recovered_band(d("20"), d("100"), d("0.1"))
    assert high is not None
    assert low < 25 < high

    low, high = insulation.recovered_band(d("99.9"), d("100.0"), d("0.1"))
    assert high is None
    assert low > 1000


def test_a_recovered_band_of_equal_readings_has_only_a_lower_end() -> None:
    """Equal readings still bound the circuit from below."""
    low, high = insulation.recovered_band(d("50.0"), d("50.0"), d("0.1"))

    assert high is None
    assert low > 10_000


# --- times ---


@pytest.mark.parametrize(
    ("asked", "seconds"),
    [
        (Asked("TN-C-S", d("230"), d("32"), CircuitKind.SOCKETS), "0.4"),
        (Asked("TN-S", d("230"), d("63"), CircuitKind.SOCKETS), "0.4"),
        (Asked("TN-S", d("230"), d("63"), CircuitKind.SOCKETS, wide_scope=False), "5"),
        (Asked("TN-S", d("230"), d("63"), CircuitKind.FIXED), "5"),
        (Asked("TT", d("230"), d("32"), CircuitKind.FIXED), "0.2"),
        (Asked("TT", d("230"), d("40"), CircuitKind.FIXED), "1"),
        (Asked("TT", d("230"), d("32"), CircuitKind.FIXED, overcurrent_and_bonded=True), "0.4"),
        (Asked("TT", d("230"), d("32"), CircuitKind.DISTRIBUTION), "1"),
        (Asked("TN-S", d("231"), d("32"), CircuitKind.FIXED), "0.2"),
        (Asked("TN-S", d("120"), d("32"), CircuitKind.FIXED), "0.8"),
    ],
)
def test_time_by_system_voltage_rating_and_kind(asked: Asked, seconds: str) -> None:
    """Table 41.1 and the rules round it; a voltage at the end of a band belongs to that band."""
    time = longest_time_s(asked)

    assert time is not None
    assert time.value == Decimal(seconds)
    assert time.source


@pytest.mark.parametrize(
    "asked",
    [Asked("TN-S", d("50"), d("32"), CircuitKind.FIXED), Asked("TT", d("100"), d("6"), CircuitKind.FIXED, direct=True)],
)
def test_where_no_time_is_asked_for_there_is_none(asked: Asked) -> None:
    """Up to 50 V, and on low d.c., no disconnection is required against shock."""
    assert longest_time_s(asked) is None


# --- residual current ---


def test_a_delayed_device_does_not_exist_for_additional_protection() -> None:
    """At 30 mA there is no delayed type, whatever the rating (product standard)."""
    assert not any(rcd.delayed_type_exists(d("30"), d(str(a))) for a in (6, 25, 63))
    assert rcd.delayed_type_exists(d("100"), d("25"))


@pytest.mark.parametrize(
    ("kind", "load", "suits"),
    [
        ("AC", "no-dc", True),
        ("AC", "general", False),
        ("A", "general", True),
        ("A", "single-phase-drive", False),
        ("F", "single-phase-drive", True),
        ("F", "smooth-dc", False),
        ("B", "smooth-dc", True),
    ],
)
def test_residual_type_by_load(kind: str, load: str, suits: bool) -> None:
    """AC only where no d.c. is known to flow, F for drives, B for smooth d.c. (531.3.3)."""
    assert rcd.suits_load(kind, load) is suits


@pytest.mark.parametrize(
    ("up", "down", "selective"),
    [
        ((100, True), (30, False), True),
        ((90, True), (30, False), True),
        ((80, True), (30, False), False),
        ((100, False), (30, False), False),
        ((300, True), (100, True), False),
    ],
)
def test_selectivity_wants_delay_and_three_times(up: tuple[int, bool], down: tuple[int, bool], selective: bool) -> None:
    """Only a delayed upstream device of at least three times the current lets the downstream one trip alone."""
    upstream, downstream = (rcd.ResidualPart(Decimal(ma), delayed) for ma, delayed in (up, down))

    assert rcd.is_selective(upstream, downstream) is selective


def test_half_wave_tests_of_small_devices_are_wider() -> None:
    """At 10 mA the tester doubles the half-wave current and the band reaches 200 %; type AC has neither."""
    assert (rcd.half_wave_factor("A", d("10")), rcd.ramp_band("A", d("10")).high) == (2, 2)
    assert (rcd.half_wave_factor("AC", d("10")), rcd.ramp_band("AC", d("10")).high) == (1, 1)


def test_five_times_may_be_a_fixed_current_only_up_to_30_ma() -> None:
    """250 mA stands in for 150 mA at 30 mA; at 100 mA it would be less than five times."""
    assert rcd.five_times_ma(d("30"), fixed=True) == 250
    assert rcd.five_times_ma(d("100"), fixed=True) == 500


@pytest.mark.parametrize(("kind", "multiple"), [("general", "3"), ("delayed", "1.5")])
def test_a_multiple_without_a_time_has_none(kind: str, multiple: str) -> None:
    """The standard gives times at 1, 2, 5 and above five only."""
    assert rcd.trip_times(kind, Decimal(multiple)) is None


# --- fault current ---


@pytest.mark.parametrize(
    ("device", "conditional", "rating", "source"),
    [
        ("6", False, "6", "434.5.1"),
        ("6", True, "16", "61439-3"),
        ("10", True, "16", "61439-3"),
        ("25", True, "25", "434.5.1"),
    ],
)
def test_a_device_breaks_its_own_rating_or_the_boards(device: str, conditional: bool, rating: str, source: str) -> None:
    """The board's conditional rating counts where it is declared and is more than the device's own."""
    found = fault_level.rating_ka(Decimal(device), conditional=conditional)

    assert found.value == Decimal(rating)
    assert source in found.source


# --- protective conductor ---


def test_k_squared_s_squared_is_what_the_conductor_bears() -> None:
    """At just the smallest area the energy equals what the conductor bears (same equation, turned round)."""
    area = adiabatic.smallest_mm2(d("200"), d("0.4"), d("115"))

    borne = adiabatic.withstands_a2s(area, d("115"))

    assert abs(borne - adiabatic.energy_a2s(d("200"), d("0.4"))) < d("1e-20")


@pytest.mark.parametrize(("area", "size"), [("1.5", "1.5"), ("1.51", "2.5"), ("0.1", "1"), ("400", "400")])
def test_next_standard_size(area: str, size: str) -> None:
    """An area that is a size keeps it; any other takes the next."""
    assert adiabatic.next_standard(Decimal(area)) == Decimal(size)


def test_above_the_largest_size_there_is_none() -> None:
    """No size is made up."""
    assert adiabatic.next_standard(d("401")) is None


def test_every_k_and_every_fuse_has_a_source() -> None:
    """No table row stands without a word on where it came from, and no name stands for two rows."""
    assert all(row.source for row in adiabatic.FACTORS)
    assert len(adiabatic.named_factors()) == len(adiabatic.FACTORS)
    assert all(table.source for table in FUSES)
    assert all(value.source for kind in CONDUCTORS.values() for value in kind.mohm_per_m.values())


@pytest.mark.parametrize("standard", standards())
def test_a_larger_fuse_has_a_smaller_limit(standard: str) -> None:
    """Along the ratings of one standard the limit falls, and 5 s allows more than 0.4 s."""
    for time in ("0.4", "5"):
        limits = [find_fuse(standard, a, Decimal(time)) for a in sorted(printed_ratings(standard, Decimal(time)))]
        ohms = [limit.value for limit in limits if limit is not None]
        assert ohms == sorted(set(ohms), reverse=True)
    both = set(printed_ratings(standard, d("0.4"))) & set(printed_ratings(standard, d("5")))
    for rating in both:
        fast, slow = find_fuse(standard, rating, d("0.4")), find_fuse(standard, rating, d("5"))
        assert fast is not None
        assert slow is not None
        assert fast.value < slow.value


# --- loop ---


def test_the_warm_sum_turned_round_is_the_warm_sum() -> None:
    """A Zs at the warm limit, its circuit part made warm, is just the table value (Ze + 1.2·(R1+R2))."""
    ze, table, factor = d("0.35"), d("1.37"), d("1.20")

    limit = loop.warm_limit_ohm(ze, table, factor)

    assert ze + factor * (limit - ze) == table


@pytest.mark.parametrize(
    ("read", "words"),
    [("0.50", "parallel paths"), ("0.85", "small-current"), ("1.50", "loose joint")],
)
def test_a_mismatch_of_zs_has_its_causes_by_direction_and_size(read: str, words: str) -> None:
    """Lower points to parallel paths, some tenths higher to the test method, more to a joint; each has a next test."""
    found = mismatch.explain_mismatch(Decimal(read), d("0.64"), d("0.05"))

    assert found is not None
    assert words in found.causes[0]
    assert found.by_ohm == Decimal(read) - d("0.64")
    assert found.next_test
    assert found.source


def test_no_mismatch_inside_the_tolerance() -> None:
    """A difference of exactly the tolerance is none."""
    assert mismatch.explain_mismatch(d("0.69"), d("0.64"), d("0.05")) is None


# --- uncertainty and plausibility ---


def test_the_card_comes_before_the_ceiling() -> None:
    """A card's percent and digits count; without them the standard's ceiling does (IEC 61557)."""
    ceiling = uncertainty.CEILING_PCT["loop"]

    assert uncertainty.operating_off(d("1.00"), d("3"), d("2"), d("0.01"), ceiling) == d("0.05")
    assert uncertainty.operating_off(d("1.00"), None, d("2"), d("0.01"), ceiling) == d("0.30")


def test_a_trip_time_is_off_by_a_share_of_its_limit() -> None:
    """10 % of the limit time, not of the reading (IEC 61557-6, from memory)."""
    assert uncertainty.trip_time_off(d("300")) == 30


@pytest.mark.parametrize(
    ("read", "words"),
    [("4.4", "ten times"), ("0.044", "a tenth of"), ("1.6", "far from"), ("0.10", "far from")],
)
def test_an_unbelievable_reading_is_doubted_apart_from_its_limit(read: str, words: str) -> None:
    """A decimal point that slipped is named; 0.044 Ω would pass any upper limit and is doubted all the same."""
    doubt = uncertainty.doubt_about(Decimal(read), d("0.44"))

    assert doubt is not None
    assert words in doubt.sentence


@pytest.mark.parametrize("read", ["0.44", "0.15", "1.32"])
def test_a_believable_reading_is_not_doubted(read: str) -> None:
    """From a third to three times what is expected nothing is said."""
    assert uncertainty.doubt_about(Decimal(read), d("0.44")) is None


@pytest.mark.parametrize(
    ("read", "low", "high", "held"),
    [
        ("0.06", "0.02", "0.02", False),
        ("0.08", "0.02", "0.02", True),
        ("0.30", "0.28", "0.41", False),
        ("4.10", "0.28", "0.41", True),
    ],
)
def test_a_few_steps_of_the_display_raise_no_doubt(read: str, low: str, high: str, held: bool) -> None:
    """Small values part by more than a factor of three through joints alone; a band is asked at its nearest end."""
    doubt = uncertainty.doubt_beside(d(read), d(low), d(high), d("0.01"))

    assert (doubt is not None) is held


@pytest.mark.parametrize(
    ("reads", "expected", "held"),
    [
        (("0.44", "0.44", "0.44"), ("0.44", "0.44", "0.73"), True),
        (("0.22", "0.22", "0.22"), ("0.22", "0.22", "0.22"), False),
        (("0.44", "0.44", "0.73"), ("0.44", "0.44", "0.73"), False),
        (("0.28", "0.28", "0.28"), ("0.28", "0.29", "0.28"), False),
        (("0.44", "0.44"), ("0.44", "0.73"), False),
    ],
)
def test_one_value_everywhere_is_doubted_where_places_differ(
    reads: tuple[str, ...], expected: tuple[str, ...], held: bool
) -> None:
    """r1, rn and r2 alike on 2.5/1.5 were copied; step two alike at each socket is what a ring shows."""
    bands = [(d(value), d(value)) for value in expected]

    assert (uncertainty.copied_doubt([d(read) for read in reads], bands, d("0.01")) is not None) is held


def test_the_lead_null() -> None:
    """One step of the display is nulled, two are not; odd leads are doubted; a reading below them may be the null's."""
    assert uncertainty.is_nulled(d("0.01"))
    assert not uncertainty.is_nulled(d("0.02"))
    assert uncertainty.lead_doubt(d("0.10")) is None
    assert uncertainty.lead_doubt(d("0.01")) is not None
    assert uncertainty.lead_doubt(d("0.50")) is not None
    assert uncertainty.below_null(d("0.05"), d("0.10"))


# --- torque ---


def test_every_safe_setting_stays_inside_the_band() -> None:
    """At both ends of the safe band a tool at its worst just meets the leaflet's band (own derivation)."""
    low, high = torque.safe_low(d("2.0"), d("6")), torque.safe_high(d("2.5"), d("6"))

    least, _ = torque.delivered(low, d("6"))
    _, most = torque.delivered(high, d("6"))

    assert abs(least - 2) < d("1e-20")
    assert abs(most - d("2.5")) < d("1e-20")


# --- editions ---


@pytest.mark.parametrize(
    ("text", "edition"),
    [
        ("BS 7671:2018+A2:2022", "bs7671-2018-a2-2022"),
        ("uk-bs7671-a2-2022", "bs7671-2018-a2-2022"),
        ("A2", "bs7671-2018-a2-2022"),
        ("18th Edition", "bs7671-2018"),
        ("BS 7671:2008", "bs7671-2008"),
        ("uk-bs7671-2008", "bs7671-2008"),
        ("17th", "bs7671-2008"),
        ("17th A3", "bs7671-2008-a3"),
        ("IEC 60364-6", "iec60364"),
        ("iec-60364", "iec60364"),
        ("BS 4293", "bs4293"),
    ],
)
def test_an_edition_by_the_names_that_people_write(text: str, edition: str) -> None:
    """One edition has many spellings; each is one edition only."""
    found = find_edition(text)

    assert found is not None
    assert found.id == edition


def test_no_edition_is_guessed() -> None:
    """A name that is none gives none, and no alias stands twice."""
    aliases = [alias for edition in EDITIONS for alias in (edition.id, *edition.aliases)]

    assert find_edition("19th") is None
    assert len(aliases) == len(set(aliases))
