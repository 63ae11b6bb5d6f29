"""`ferrule figure`: sixteen figures by name, their JSON, and what happens when something is asked for wrongly."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest

from ferrule.engine.electrics.asked_names import ASKED
from tests.support.plainrun import run

NAMES = (
    "r1-r2",
    "ring-step-two",
    "ring-step-three",
    "ring-ratio",
    "ring-length",
    "zs-limit",
    "zs-expected",
    "zs-measured-limit",
    "fault-current",
    "adiabatic",
    "insulation-parallel",
    "resistance-at-temperature",
    "rcd-limit",
    "tt-limit",
    "torque-setting",
    "guard-band",
)
MEMBERS = ["figure", "given", "formula", "result", "also", "verdict", "source", "basis"]
OUTCOMES = ("pass", "conditional-pass", "conditional-fail", "fail")


def asked(text: str) -> dict[str, Any]:
    """The JSON of a figure."""
    ran = run("figure", *text.split(), "--json")
    assert (ran.code, ran.err) == (0, "")
    found = json.loads(ran.out)
    assert isinstance(found, dict)
    return found


def test_the_sixteen_figures_are_there() -> None:
    """The names are those that were promised, and no more."""
    assert tuple(ASKED) == NAMES


ROWS = [
    ("r1-r2 line_mm2=2.5 cpc_mm2=1.5 length_m=50", "0.9755", "0.98", "ohm"),
    ("r1-r2 line_mm2=2.5 cpc_mm2=1.5 length_m=50 temperature_c=70", "1.167185750", "1.17", "ohm"),
    ("r1-r2 line_mm2=16 cpc_mm2=10 length_m=20 material=aluminium", "0.0998", "0.10", "ohm"),
    ("ring-step-two r1_ohm=0.44 rn_ohm=0.46", "0.225", "0.23", "ohm"),
    ("ring-step-three r1_ohm=0.54 r2_ohm=0.90", "0.36", "0.36", "ohm"),
    ("ring-step-three r1_ohm=0.54 r2_ohm=0.90 at_fraction=0", "0.3375", "0.34", "ohm"),
    ("ring-step-three r1_ohm=0.54 r2_ohm=0.90 at_fraction=1", "0.3375", "0.34", "ohm"),
    ("ring-ratio line_mm2=2.5 cpc_mm2=1.5", "1.632928475033738191632928475", "1.63", "1"),
    ("ring-length r1_ohm=0.4446 line_mm2=2.5", "60", "60.0", "m"),
    ("zs-limit curve=B rating_a=32", "1.365625", "1.37", "ohm"),
    ("zs-limit curve=b rating_a=32 edition=17th", "1.4375", "1.44", "ohm"),
    ("zs-limit curve=D rating_a=32 time_s=5", "0.6828125", "0.68", "ohm"),
    ("zs-limit curve=D rating_a=32 time_s=0.4", "0.34140625", "0.34", "ohm"),
    ("zs-limit curve=B rating_a=32 u0_v=120", "0.7125", "0.71", "ohm"),
    ("zs-limit fuse=BS88-3 rating_a=32 time_s=0.4", "0.91", "0.91", "ohm"),
    ("zs-limit fuse=BS88-3 rating_a=32 time_s=5", "1.6", "1.60", "ohm"),
    ("zs-expected ze_ohm=0.35 r1r2_ohm=0.29", "0.64", "0.64", "ohm"),
    ("zs-expected ze_ohm=0.15 line_mm2=6 cpc_mm2=2.5 length_m=30", "0.4647", "0.46", "ohm"),
    ("zs-expected ze_ohm=0.35 r1r2_ohm=0.29 temperature_c=70", "0.696985", "0.70", "ohm"),
    ("zs-measured-limit curve=B rating_a=32", "1.096", "1.096", "ohm"),
    ("zs-measured-limit table_ohm=1.37", "1.096", "1.096", "ohm"),
    ("zs-measured-limit curve=B rating_a=32 rule=two-thirds", "0.9583333333333333333333333333", "0.958", "ohm"),
    ("zs-measured-limit fuse=BS88-3 rating_a=32", "0.728", "0.728", "ohm"),
    ("fault-current z_ohm=0.35", "657.1428571428571428571428571", "657", "A"),
    ("fault-current z_ohm=0.23 phases=3", "2000", "2000", "A"),
    ("fault-current z_ohm=0.23 phases=3 rule=root-three", "1732.050807568877293527446342", "1732", "A"),
    ("adiabatic current_a=200 time_s=0.4 k=115", "1.099922664406392811130049929", "1.10", "mm2"),
    ("insulation-parallel megohm=5,20,10", "2.857142857142857142857142857", "2.86", "Mohm"),
    ("resistance-at-temperature ohm=0.1 from_c=20 to_c=50", "0.11179", "0.112", "ohm"),
    ("resistance-at-temperature ohm=1 from_c=20 to_c=70 alpha=0.004", "1.2", "1.200", "ohm"),
    ("resistance-at-temperature ohm=1 from_c=-5 to_c=20 alpha=0.004", "1.111111111111111111111111111", "1.111", "ohm"),
    ("rcd-limit type=general multiple=1", "300", "300", "ms"),
    ("rcd-limit type=delayed multiple=5", "150", "150", "ms"),
    ("rcd-limit type=general multiple=1 edition=BS4293", "200", "200", "ms"),
    ("rcd-limit type=general multiple=5x", "40", "40", "ms"),
    ("rcd-limit type=A multiple=0.5", "2000", "2000", "ms"),
    ("tt-limit residual_ma=30", "1666.666666666666666666666667", "1667", "ohm"),
    ("tt-limit residual_ma=30 touch_v=25", "833.3333333333333333333333333", "833", "ohm"),
    ("torque-setting low_nm=2.0 high_nm=2.5 error_pct=6 graduation_nm=0.1 range_nm=1,3", "2.2", "2.2", "Nm"),
    ("torque-setting nominal_nm=1.2 error_pct=6 graduation_nm=0.1", "1.2", "1.2", "Nm"),
    ("guard-band measured=0.96 at_most=1.00 uncertainty_pct=0 digits=5 resolution=0.01", "0.04", "0.040", ""),
]


@pytest.mark.parametrize(("text", "value", "rounded", "unit"), ROWS, ids=[row[0] for row in ROWS])
def test_a_figure_and_its_json(text: str, value: str, rounded: str, unit: str) -> None:
    """Each figure has its members in order, its number unrounded and rounded as text, and a source."""
    found = asked(text)

    assert list(found) == MEMBERS
    assert found["figure"] == text.split()[0]
    assert found["given"] == dict(pair.split("=", 1) for pair in text.split()[1:])
    assert found["result"]["unit"] == unit
    assert found["result"]["rounded"] == rounded
    assert Decimal(found["result"]["value"]) == Decimal(value)
    assert found["formula"]
    assert found["source"]
    assert found["basis"] in ("published", "from memory", "common practice")
    assert all(set(also) == {"value", "unit", "rounded"} for also in found["also"].values())


def test_every_name_is_shown_by_a_row() -> None:
    """No figure is left out of the rows above."""
    assert {text.split()[0] for text, *_ in ROWS} == set(NAMES)


VERDICTS = [
    ("ring-ratio line_mm2=2.5 cpc_mm2=1.5 r1_ohm=0.44 r2_ohm=0.73", "pass"),
    ("ring-ratio line_mm2=2.5 cpc_mm2=1.5 r1_ohm=0.44 r2_ohm=1.33", "fail"),
    ("zs-measured-limit curve=B rating_a=32 measured_ohm=1.09", "pass"),
    ("zs-measured-limit curve=B rating_a=32 measured_ohm=1.10", "fail"),
    ("zs-measured-limit curve=C rating_a=32 measured_ohm=0.64", "fail"),
    ("zs-measured-limit curve=B rating_a=32 measured_ohm=1.00 rule=2/3", "fail"),
    ("adiabatic current_a=3000 time_s=0.4 k=115 proposed_mm2=2.5", "fail"),
    ("adiabatic current_a=200 time_s=0.4 k=115 proposed_mm2=1.5", "pass"),
    ("adiabatic current_a=650 time_s=0.01 k=115 proposed_mm2=1.5", "conditional-pass"),
    ("adiabatic current_a=6500 time_s=0.01 k=115 proposed_mm2=1.5", "conditional-fail"),
    ("insulation-parallel megohm=5,3,4,2.5 limit_megohm=1", "fail"),
    ("insulation-parallel megohm=200,200,200,1.5 limit_megohm=1", "pass"),
    ("insulation-parallel megohm=>200,>200 limit_megohm=1", "pass"),
    ("insulation-parallel megohm=>2,>2 limit_megohm=1.5", "conditional-fail"),
    ("rcd-limit type=general multiple=1 trip_ms=220", "pass"),
    ("rcd-limit type=general multiple=1 trip_ms=301", "fail"),
    ("rcd-limit type=general multiple=1 trip_ms=220 disconnection_ms=200", "conditional-fail"),
    ("rcd-limit type=general multiple=1 trip_ms=190 disconnection_ms=200", "pass"),
    ("rcd-limit type=delayed multiple=1 trip_ms=120", "fail"),
    ("rcd-limit type=delayed multiple=5 trip_ms=100 disconnection_ms=80", "fail"),
    ("rcd-limit type=general multiple=½ trip_ms=300", "fail"),
    ("rcd-limit type=general multiple=0.5 trip_ms=2000", "pass"),
    ("tt-limit residual_ma=30 ra_ohm=12.74", "pass"),
    ("tt-limit residual_ma=30 ra_ohm=300", "conditional-pass"),
    ("tt-limit residual_ma=30 ra_ohm=1668", "fail"),
    ("torque-setting low_nm=2.0 high_nm=2.1 error_pct=6", "fail"),
    ("torque-setting low_nm=2.0 high_nm=2.5 error_pct=6 graduation_nm=0.5", "fail"),
    ("torque-setting low_nm=2.0 high_nm=2.5 error_pct=6 range_nm=3,8", "fail"),
    ("guard-band measured=0.95 at_most=1.00 uncertainty_pct=0 digits=5 resolution=0.01", "pass"),
    ("guard-band measured=0.96 limit=1.00 at_most uncertainty_pct=0 digits=5 resolution=0.01", "conditional-pass"),
    ("guard-band measured=1.05 limit=1.00 at_most=yes uncertainty_pct=0 digits=5 resolution=0.01", "conditional-fail"),
    ("guard-band measured=1.06 at_most=1.00 uncertainty_pct=0 digits=5 resolution=0.01", "fail"),
    ("guard-band measured=0.90 at_least=1.00 uncertainty_pct=5 digits=2 resolution=0.01", "fail"),
    ("guard-band measured=1.20 at_least=1.00 uncertainty_pct=5 digits=2 resolution=0.01", "pass"),
    ("guard-band measured=>200 at_least=1.00 uncertainty_pct=5 digits=2 resolution=0.01", "pass"),
    ("guard-band measured=>2 at_most=5 uncertainty_pct=5 digits=2 resolution=0.01", "conditional-fail"),
]


@pytest.mark.parametrize(("text", "verdict"), VERDICTS, ids=[row[0] for row in VERDICTS])
def test_a_verdict_never_changes_the_exit_code(text: str, verdict: str) -> None:
    """Shows: WB-05, WB-06. Each verdict is one of the four words, and the command ends with 0 whatever it is."""
    assert verdict in OUTCOMES
    assert asked(text)["verdict"] == verdict


@pytest.mark.parametrize(
    ("text", "also", "rounded"),
    [
        ("ring-ratio line_mm2=2.5 cpc_mm2=1.5", "by_area", "1.67"),
        ("zs-limit curve=B rating_a=32", "measured_limit_0.8", "1.096"),
        ("zs-measured-limit table_ohm=7.67", "as_forms_print_it", "6.13"),
        ("adiabatic current_a=3000 time_s=0.4 k=115", "next_standard_size", "25"),
        ("rcd-limit type=delayed multiple=1", "shortest", "130"),
        ("rcd-limit type=general multiple=1 trip_ms=220 disconnection_ms=200", "disconnection", "200"),
        ("rcd-limit type=AC multiple=1", "ramp_from", "0.50"),
        ("torque-setting low_nm=2.0 high_nm=2.5 error_pct=6", "safe_low", "2.13"),
        ("torque-setting low_nm=2.0 high_nm=2.5 error_pct=6", "safe_high", "2.35"),
        ("guard-band measured=1.00 at_most=1.05 uncertainty_pct=3 digits=2 resolution=0.01", "uncertainty", "0.050"),
        ("fault-current z_ohm=0.35", "in_ka", "0.66"),
    ],
)
def test_what_stands_beside_the_result(text: str, also: str, rounded: str) -> None:
    """Further figures have their own unit and rounding; a limit is rounded to its safe side."""
    assert asked(text)["also"][also]["rounded"] == rounded


def test_k_may_be_named_by_its_table() -> None:
    """The core of a flat twin cable has k 115, and the row's own source is shown."""
    named = asked("adiabatic current_a=200 time_s=0.4 k=in-cable/copper/thermoplastic-70")
    number = asked("adiabatic current_a=200 time_s=0.4 k=115")

    assert named["result"] == number["result"]
    assert "Tables 43.1 and 54.2" in named["source"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("ring-lenght r1_ohm=1 line_mm2=2.5", "Did you mean “ring-length”?"),
        ("r1-r2 lenght_m=3", "Did you mean “length_m”?"),
        ("ring-length r1=0.4", "Did you mean “r1_ohm”?"),
        ("zs-limit curve=B rating=32", "Did you mean “rating_a”?"),
        ("zs-limit curve=E rating_a=32", "curve knows no “E”"),
        ("zs-limit curve=B", "needs rating_a"),
        ("zs-limit rating_a=32", "needs one of curve or fuse, not none"),
        ("zs-limit curve=B fuse=BS88-3 rating_a=32", "needs one of curve or fuse, not 2"),
        ("zs-limit fuse=BS88-3 rating_a=32", "needs time_s"),
        ("zs-limit fuse=BS88-3 rating_a=33 time_s=5", "has the ratings 5, 16, 20, 32, 45, 63, 80, 100 A"),
        ("zs-limit fuse=BS88-3 rating_a=32 time_s=1", "0.4 s and 5 s only"),
        ("zs-limit fuse=BS88-9 rating_a=32 time_s=5", "Did you mean"),
        ("zs-limit fuse=BS88-3 rating_a=32 time_s=5 u0_v=400", "printed for 230 V"),
        ("zs-limit curve=B rating_a=32 time_s=0.04", "no time below 0.1 s"),
        ("zs-limit curve=B rating_a=32 edition=17ht", "Did you mean “17th”?"),
        ("zs-limit curve=B rating_a=0", "above zero"),
        ("zs-expected ze_ohm=0.3 r1r2_ohm=0.2 length_m=3", "not both"),
        ("r1-r2 line_mm2=2,5 cpc_mm2=1.5 length_m=3", "the decimal sign here is a point"),
        ("r1-r2 line_mm2=3 cpc_mm2=1.5 length_m=3", "the table of copper has 0.5, 0.75"),
        ("r1-r2 line_mm2=2.5 cpc_mm2=1.5 length_m=-3", "may not be below 0"),
        ("r1-r2 line_mm2=2.5 cpc_mm2=1.5 length_m=1e3", "exponent"),
        ("r1-r2 line_mm2=2.5 line_mm2=4", "twice"),
        ("r1-r2 60", "no key=value"),
        ("ring-step-two r1_ohm=1 rn_ohm=1 at_fraction=2", "from 0 (one leg) to 1"),
        ("fault-current z_ohm=0", "above zero"),
        ("fault-current z_ohm=1 phases=2", "phases knows no “2”"),
        ("rcd-limit type=general multiple=3", "0.5, 1, 2, 5 and more"),
        ("rcd-limit type=general multiple=0", "above zero"),
        ("torque-setting low_nm=3 high_nm=2 error_pct=6", "lies above"),
        ("torque-setting low_nm=2 high_nm=3 error_pct=100", "sets nothing"),
        ("torque-setting low_nm=2 high_nm=3 error_pct=6 range_nm=3", "two numbers"),
        ("guard-band measured=1 limit=2 at_most=3 uncertainty_pct=1", "two limits"),
        ("resistance-at-temperature ohm=1 from_c=-300 to_c=20", "no resistance above zero"),
        ("adiabatic current_a=999999999999 time_s=999999999999 k=1", "too large"),
    ],
)
def test_what_is_asked_wrongly_ends_with_64_and_says_what_to_write(text: str, words: str) -> None:
    """An unknown name or key gets the nearest spelling, and every other fault names itself; nothing goes to stdout."""
    ran = run("figure", *text.split())

    assert ran.code == 64
    assert ran.out == ""
    assert words in ran.err
    assert ran.err.count("\n") == 1


def test_json_may_stand_at_any_place() -> None:
    """Before the name, between the keys or at the end the flag means the same."""
    keys = ("r1_ohm=0.44", "line_mm2=2.5")
    first, middle, last = (
        run("figure", *words)
        for words in (
            ("--json", "ring-length", *keys),
            ("ring-length", keys[0], "--json", keys[1]),
            ("ring-length", *keys, "--json"),
        )
    )

    assert first.out == middle.out == last.out
    assert json.loads(first.out)["result"]["rounded"] == "59.4"


def test_the_text_shows_formula_numbers_result_and_source() -> None:
    """A person reads the rule, the numbers put in, what was taken for what was left out, and where it comes from."""
    ran = run("figure", "zs-measured-limit", "curve=B", "rating_a=32", "measured_ohm=1.10")

    assert ran.out.splitlines()[:6] == [
        "zs-measured-limit: limit for a Zs read on cold conductors",
        "  formula  0.8 × table Zs, not rounded",
        "  put in   0.8 × 1.37 Ω",
        "  taken    rule=measured-0.8",
        "  result   1.096 Ω",
        "  also     table: 1.37 Ω",
    ]
    assert "  verdict  fail" in ran.out.splitlines()
    assert ran.out.splitlines()[-1] == "  basis    published"


def test_a_warning_is_a_note_in_the_text() -> None:
    """Below 0.1 s the sum does not settle the conductor, and the text says what does."""
    ran = run("figure", "adiabatic", "current_a=650", "time_s=0.01", "k=115", "proposed_mm2=1.5")

    assert "let-through energy" in ran.out
    assert "  verdict  conditional pass" in ran.out


@pytest.mark.parametrize("name", NAMES)
def test_the_list_and_the_help_show_every_key(name: str) -> None:
    """Without a name all figures are listed; `NAME --help` shows the keys of one."""
    every, one = run("figure"), run("figure", name, "--help")

    assert (every.code, one.code) == (0, 0)
    assert f"\n{name}  " in f"\n{every.out}"
    assert all(key in one.out for key in ASKED[name].all_keys)
