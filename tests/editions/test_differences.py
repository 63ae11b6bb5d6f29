"""The limits files differ where their editions differ, and each row and setting says where it comes from."""

from __future__ import annotations

from decimal import Decimal
from itertools import combinations

import pytest

from ferrule.engine.electrics.bands import check_row
from ferrule.engine.electrics.figures import Figure, compute
from ferrule.engine.procedure.setting_words import MINUTE_SETTINGS, NUMBER_SETTINGS, SETTINGS
from ferrule.engine.procedure.yamltext import Series, Table, parse_yaml
from ferrule.engine.prover.structure import check_texts
from ferrule.engine.shell.sets import packaged_set, set_texts
from ferrule.engine.walk.cells import inputs_of
from tests.editions.editions import (
    ALL,
    INTERNATIONAL,
    UK_BEFORE,
    UK_NOW,
    job_under,
    limits_of,
    text_of,
    verdict,
)
from tests.support.jobs import REFERENCE, card_path

Said = dict[str, tuple[str, str]]
"""Row or setting to what it says and where that comes from."""


def said(name: str) -> Said:
    """Everything that a limits file says, by row (with its choice) and by setting."""
    tree, _ = parse_yaml(text_of(name), name)
    assert isinstance(tree, Table)
    settings, rows = tree["settings"], tree["rows"]
    assert isinstance(settings, Table)
    assert isinstance(rows, Series)
    found: Said = {}
    for key, setting in settings.items():
        assert isinstance(setting, Table)
        found[f"setting {key}"] = (str(setting["value"]), str(setting["source"]))
    for row in rows:
        assert isinstance(row, Table)
        when = row.get("when")
        choice = "".join(str(each) for each in when) if isinstance(when, Series) else ""
        bands = row["bands"]
        assert isinstance(bands, Series)
        words = [f"{outcome}: {band}" for each in bands if isinstance(each, Table) for outcome, band in each.items()]
        says = "; ".join([*words, str(row["guard"]), str(row["settle alone"])])
        found[f"row {row['row']} {choice}".strip()] = (says, str(row["source"]))
    return found


@pytest.mark.parametrize(("first", "second"), list(combinations(ALL, 2)))
def test_two_editions_differ_in_ten_places_each_with_its_source(first: str, second: str) -> None:
    """Between any two files at least ten rows or settings say another thing, and each names its source."""
    one, other = said(first), said(second)
    changed = [key for key in one.keys() & other.keys() if one[key][0] != other[key][0]]
    missing = one.keys() ^ other.keys()
    resourced = [key for key in one.keys() & other.keys() if one[key][1] != other[key][1]]

    assert len(changed) + len(missing) >= 6
    assert len({*changed, *missing, *resourced}) >= 10
    for key in {*changed, *missing}:
        assert all(found[key][1].strip() for found in (one, other) if key in found)
    # What says another thing rests on another source, save where one of two published opinions was chosen.
    assert [key for key in changed if key not in resourced] in ([], ["setting external-impedance-reading"])


@pytest.mark.parametrize("name", ALL)
def test_a_file_gives_every_choice_and_number(name: str) -> None:
    """No choice or number is left to the code; the international standard alone knows no distributor's maxima."""
    wanted = {*SETTINGS, *NUMBER_SETTINGS, *MINUTE_SETTINGS}
    if name == INTERNATIONAL:
        wanted -= {"ze-tn-c-s", "ze-tn-s", "ze-tt"}

    assert set(limits_of(name).settings) == wanted


@pytest.mark.parametrize("name", ALL)
def test_every_row_is_whole(name: str) -> None:
    """Each row that holds has no gap and no overlap, a source and a basis; the same rows stand in each file."""
    limits = limits_of(name)

    assert set(limits.rows) == set(limits_of(UK_NOW).rows)
    for row in limits.rows.values():
        assert check_row(row) == ()
        assert row.source.strip()
        assert row.basis in ("published", "from memory", "common practice")


@pytest.mark.parametrize("name", ALL)
def test_the_packaged_procedures_stand_on_each_file(name: str) -> None:
    """A card that names the file gives a sound set: the walk picks by edition from the card."""
    card = card_path(REFERENCE).read_text("utf-8").replace(f"limits: {UK_NOW}", f"limits: {name}")
    texts = [("card", REFERENCE, card), *((t.role, t.id, t.text) for t in set_texts(packaged_set()))]

    assert check_texts(texts) == ()


@pytest.mark.parametrize(
    ("name", "limit", "source"),
    [
        (UK_NOW, "1.096", "0.8 × 1.37, BS 7671:2018 Table 41.3"),
        (UK_BEFORE, "1.152", "0.8 × 1.44, BS 7671:2008 Table 41.3 without Cmin"),
        (INTERNATIONAL, "0.9583", "2/3 × 230 ÷ 160, IEC 60364-6 annex (from memory)"),
    ],
)
def test_the_loop_limit_is_that_of_the_edition(name: str, limit: str, source: str) -> None:
    """The same device gets another limit under each edition, by its own factor."""
    found = compute("loop.limit", inputs_of(job_under(limits_of(name)), {}))

    assert source
    assert isinstance(found, Figure)
    assert found.value.quantize(Decimal(limit)) == Decimal(limit)


@pytest.mark.parametrize(
    ("name", "volts", "outcome"),
    [
        (UK_NOW, "212", "fail"),
        (UK_BEFORE, "212", "fail"),
        (INTERNATIONAL, "212", "pass"),
        (INTERNATIONAL, "206", "fail"),
        (UK_NOW, "217", "pass"),
    ],
)
def test_the_supply_band_is_that_of_the_country(name: str, volts: str, outcome: str) -> None:
    """212 V lies under 230 V less 6 % and over 230 V less 10 %."""
    found = verdict(job_under(limits_of(name)), "supply-volts", volts, "V", "voltage")

    assert found.outcome == outcome


@pytest.mark.parametrize(
    ("name", "megohm", "outcome"),
    [
        (UK_NOW, "1.50", "conditional-fail"),
        (UK_BEFORE, "1.50", "conditional-pass"),
        (INTERNATIONAL, "1.50", "pass"),
        (UK_NOW, "5.00", "conditional-pass"),
        (UK_BEFORE, "5.00", "pass"),
        (INTERNATIONAL, "0.50", "fail"),
    ],
)
def test_insulation_is_looked_at_as_the_edition_says(name: str, megohm: str, outcome: str) -> None:
    """The minimum is 1 MΩ everywhere; how far above it somebody looks again differs."""
    found = verdict(job_under(limits_of(name)), "insulation", megohm, "Mohm", "insulation 500")

    assert found.outcome == outcome
