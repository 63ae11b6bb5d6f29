"""Published tables and worked examples, row by row; each row carries the source it was read in."""

from __future__ import annotations

import csv
from collections import Counter
from decimal import Decimal
from functools import cache

import pytest

from ferrule.engine.electrics import insulation, loop, ring
from ferrule.engine.electrics.tables import BREAKER_MULTIPLE, MOHM_PER_M
from ferrule.engine.quantity.exact import divide
from tests.electrics.claims import CASES, FILES, Claim, all_claims, rows_of, to_places

CLAIMS = all_claims()
BASES = {"published", "from memory", "common practice"}
Key = tuple[str, int]


def listed(file: str) -> list[dict[str, str]]:
    """The rows of one of our own lists."""
    with (CASES / file).open(newline="", encoding="utf-8") as text:
        return list(csv.DictReader(text))


@cache
def disagreements() -> dict[tuple[str, int, str], dict[str, str]]:
    """What is printed otherwise than ferrule finds it, with the reason."""
    return {(row["file"], int(row["row"]), row["what"]): row for row in listed("disagreements.csv")}


@cache
def without_figure() -> dict[Key, str]:
    """Rows that state no figure which ferrule holds or computes, with the reason."""
    return {(row["file"], int(row["row"])): row["reason"] for row in listed("no_figure.csv")}


def name_of(claim: Claim) -> str:
    """File, row and figure."""
    return f"{claim.file}/{claim.row}/{claim.what}"


def test_every_file_of_published_rows_is_read() -> None:
    """No file of published rows lies beside the tests without being one of them."""
    ours = {"disagreements", "no_figure", "reference_ring", "fault_branches"}

    assert {path.stem for path in CASES.glob("*.csv")} - ours == set(FILES)


@pytest.mark.parametrize("file", FILES)
def test_every_row_has_a_source(file: str) -> None:
    """No published row stands without a word on where it came from, and a recalled one is marked so."""
    rows = rows_of(file)

    assert rows
    assert all(row["source"].strip() and row["basis"] in BASES for row in rows)
    assert all(row["basis"] != "published" for row in rows if row["source"].startswith("none found"))


def test_every_row_is_tried_or_listed_with_a_reason() -> None:
    """A row states a figure that is compared, or stands in the list of those without one; never both, never neither."""
    tried = {(claim.file, claim.row) for claim in CLAIMS}
    every = {(file, number) for file in FILES for number, _ in enumerate(rows_of(file), start=1)}

    assert tried | set(without_figure()) == every
    assert not tried & set(without_figure())
    assert all(without_figure().values())


@pytest.mark.parametrize("claim", CLAIMS, ids=name_of)
def test_a_published_figure_is_found_again(claim: Claim) -> None:
    """Each printed figure agrees to its last digit, or is listed as a disagreement that is one, with its reason."""
    known = disagreements().get((claim.file, claim.row, claim.what))

    assert claim.agrees is (known is None)
    if known is not None:
        assert isinstance(claim.found, Decimal)
        assert known["printed"] == claim.printed
        assert Decimal(known["found"]) == to_places(claim.found, known["found"])
        assert known["reason"].partition(":")[0] in ("rounding", "older edition", "source wrong", "source incomplete")


def test_each_listed_disagreement_is_a_claim() -> None:
    """The list of disagreements holds nothing that is not tried."""
    assert set(disagreements()) <= {(claim.file, claim.row, claim.what) for claim in CLAIMS}


def test_at_least_95_rows_in_a_hundred_agree() -> None:
    """Counted by rows, a row agreeing only when all of its figures do."""
    rows = {(claim.file, claim.row) for claim in CLAIMS}
    differing = {(claim.file, claim.row) for claim in CLAIMS if not claim.agrees}

    assert len(rows) > 300
    assert len(differing) <= len(rows) * 5 / 100


def test_no_claim_is_made_twice() -> None:
    """Each figure of a row has its own name, so that a listed disagreement means one of them."""
    assert max(Counter(map(name_of, CLAIMS)).values()) == 1


@pytest.mark.parametrize("row", [row for row in rows_of("zs_max_breakers") if "0.4" in row["disconnection_s"]])
def test_multiples_by_curve_are_the_published_ones(row: dict[str, str]) -> None:
    """Each curve has the multiple that the 0.4 s rows of the table use."""
    assert BREAKER_MULTIPLE[row["device_type"]].value == Decimal(row["k_multiple_of_in"])


def test_one_dead_short_makes_the_whole_insulation_zero() -> None:
    """A part of 0 MΩ leaves nothing of the rest, and no part at all is refused."""
    assert insulation.together_megohm([Decimal(200), Decimal(0)]) == 0
    with pytest.raises(ValueError, match="at least one"):
        insulation.together_megohm([])


def test_the_limit_for_a_measured_value_is_not_rounded() -> None:
    """The limit for a measured value is exact: 0.8 of 7.67 is 6.136, though paper forms print 6.13."""
    assert loop.measured_limit_ohm(Decimal("7.67")) == Decimal("6.136")


def test_r2_from_r1_uses_resistances_not_areas() -> None:
    """Beside r1 = 0.44 Ω in 2.5/1.5 the table gives 0.72 Ω; by areas it would be 0.73 Ω (IEC 60228)."""
    line, cpc = MOHM_PER_M[Decimal("2.5")].value, MOHM_PER_M[Decimal("1.5")].value
    r1 = Decimal("0.44")

    assert to_places(ring.r2_from_r1(r1, line, cpc), "0.01") == Decimal("0.72")
    assert to_places(divide(r1 * Decimal("2.5"), Decimal("1.5")), "0.01") == Decimal("0.73")
