"""Formulas of the ring and of the radial: resistances from lengths, and what each test should show.

Pure numbers in, pure numbers out; every resistance in ohm, every length in metres.
Nothing here knows the card, a reading or a limit.
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.electrics.tables import COPPER_PER_DEGREE, TABLE_TEMPERATURE_C
from ferrule.engine.quantity.exact import divide

_MILLI = Decimal("0.001")


def conductor_ohm(length_m: Decimal, mohm_per_m: Decimal) -> Decimal:
    """Resistance of one run of conductor: length × mΩ/m ÷ 1000 (17th edition guide, Appendix 4)."""
    return length_m * mohm_per_m * _MILLI


def length_from_ohm(end_to_end_ohm: Decimal, mohm_per_m: Decimal) -> Decimal:
    """Length in metres that an end-to-end resistance stands for; the same rule turned round."""
    return divide(end_to_end_ohm, mohm_per_m * _MILLI)


def temperature_factor(temperature_c: Decimal, per_degree: Decimal = COPPER_PER_DEGREE.value) -> Decimal:
    """Factor from 20 °C to another temperature: 1 + 0.00393·(t − 20) (IEC 60028, copper)."""
    return 1 + per_degree * (temperature_c - TABLE_TEMPERATURE_C)


def at_temperature(ohm: Decimal, from_c: Decimal, to_c: Decimal, per_degree: Decimal) -> Decimal:
    """A resistance taken at one temperature as it would be at another, by way of 20 °C (the same rule twice)."""
    return divide(ohm * temperature_factor(to_c, per_degree), temperature_factor(from_c, per_degree))


def r2_from_r1(r1_ohm: Decimal, line_mohm_per_m: Decimal, cpc_mohm_per_m: Decimal) -> Decimal:
    """r2 to expect beside a measured r1: r1 × ratio of the table values, not of the areas (IEC 60228)."""
    return divide(r1_ohm * cpc_mohm_per_m, line_mohm_per_m)


def share_of(distance_m: Decimal, length_m: Decimal) -> Decimal:
    """How far round the ring a point lies, from 0 at one leg to 1 at the other (plain proportion)."""
    return divide(distance_m, length_m)


def crossed_mid(first_ohm: Decimal, second_ohm: Decimal) -> Decimal:
    """Reading at the middle of a cross-linked ring: (r1 + r2)/4, or (r1 + rn)/4 for step two.

    Source: IET Wiring Matters 89 (2022); also textbook.  It is the highest reading on the ring itself.
    """
    return divide(first_ohm + second_ohm, Decimal(4))


def crossed_board(first_ohm: Decimal, second_ohm: Decimal) -> Decimal:
    """Reading at the links of a cross-linked ring: r1·r2/(r1 + r2), the lowest reading on it.

    Source: two unequal paths in parallel; published in the discussion behind IET Wiring Matters 89 (2022).
    """
    if first_ohm + second_ohm == 0:
        return Decimal(0)
    return divide(first_ohm * second_ohm, first_ohm + second_ohm)


def crossed_at(first_ohm: Decimal, second_ohm: Decimal, share: Decimal) -> Decimal:
    """Reading at a point that lies `share` (0 to 1) of the way round a cross-linked ring.

    Two paths in parallel: out along one conductor and back along the other, once each way round.
    Source: own derivation from the two-path rule of IET Wiring Matters 89 (2022); nodal analysis agrees.
    """
    total = first_ohm + second_ohm
    if total == 0:
        return Decimal(0)
    back = 1 - share
    one_way = share * first_ohm + back * second_ohm
    other_way = back * first_ohm + share * second_ohm
    return divide(one_way * other_way, total)


def joined_at(end_to_end_ohm: Decimal, share: Decimal) -> Decimal:
    """Resistance from the board, legs joined, to a point `share` of the way round: x·(1 − x)·r.

    Source: two parallel paths of the same conductor (Ohm's law).  Largest in the middle: r/4.
    """
    return end_to_end_ohm * share * (1 - share)


def fall_percent(first_ohm: Decimal, second_ohm: Decimal) -> Decimal:
    """How far step three falls from the middle to the links, in percent of the middle.

    Source: published identity 1 − 4q/(1 + q)² with q = r2/r1.
    """
    high = crossed_mid(first_ohm, second_ohm)
    return divide((high - crossed_board(first_ohm, second_ohm)) * 100, high)
