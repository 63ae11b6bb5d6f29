"""The pictures as plain text: read once, compared ever after, and held to their room for whatever they are given.

The files are written anew with `FERRULE_GOLDEN=write`; read the difference before it is kept.
"""

from __future__ import annotations

import os
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ferrule.engine.text import width
from ferrule.tui.pictures import pairs, profile
from ferrule.tui.pictures.base import ASCII, BOX, Picture, Signs
from ferrule.tui.pictures.gauge import Gauge
from ferrule.tui.pictures.pairs import Pairs
from ferrule.tui.pictures.profile import Bar, Profile
from ferrule.tui.pictures.ring import Ring, Socket
from ferrule.tui.pictures.scale import scale_of
from ferrule.tui.pictures.terminals import Screw, Terminals
from ferrule.tui.pictures.toggle import Toggle

FOLDER = Path(__file__).parent / "golden_pictures"
UNDER, BESIDE = (78, 9), (53, 24)
"""The room in place of text on a small screen, and the room beside the text on a wide one."""


def ring_of(count: int, *, crossed: bool = True, spur: bool = False, other: str = "neutral") -> Ring:
    """Return a ring of so many sockets, half of them read."""
    sockets = [Socket(f"S{n}", "", n <= count // 2, n == count // 2 + 1) for n in range(1, count + 1)]
    spurs = [Socket("P1", "S2", False, False)] if spur else []
    return Ring("Ring: bench sockets, KR1 way 4", other, crossed, (*sockets, *spurs))


def profile_of(count: int) -> Profile:
    """Return the readings of so many sockets: one stands out, one is above range, the last two are open."""
    found = []
    for n in range(1, count + 1):
        value = Decimal("0.36") if n == 2 else Decimal("0.22") + n % 3 * Decimal("0.01")
        form = profile.ABOVE if n == 3 else profile.OPEN
        is_open = n > count - 2 or bool(form)
        expected = None if n > count - 2 else (Decimal("0.22"), Decimal("0.23"))
        found.append(Bar(f"S{n}", None if is_open else value, form, expected, n == count - 1))
    return Profile("Line to neutral, from leg 1 on", "Ω", tuple(found), False)


POINTS = (
    ("main-out", "outgoing side of the main switch"),
    ("busbar", "busbar at way 4 and the neutral bar"),
    ("way-out", "outgoing terminals of way 4"),
    ("outlet", "outlet S1 by plug-in lead"),
)
ONE = ("L-N", "L-E", "N-E")
THREE = ("L1-L2", "L2-L3", "L1-L3", "L1-N", "L2-N", "L3-N", "L1-E", "L2-E", "L3-E", "N-E")


def pairs_of(names: tuple[str, ...]) -> Pairs:
    """Return the field of pairs with its first point done and a voltage at the second."""
    entered = {("main-out", name): (pairs.BELOW, "") for name in names}
    entered["busbar", names[0]] = ("number", "231")
    title = "Every pair at every point, as the display showed it"
    return Pairs(title, "V", POINTS, tuple((n, n) for n in names), entered, ("busbar", names[1]))


TERMINALS = Terminals(
    "Screws of KR1 way 4",
    "B 32 A, 30 mA",
    (
        Screw("busbar side line", "2.0 to 2.5 N·m", "supply", "checked", "torqued, tugged and marked", 4, 4, False),
        Screw("load line", "2.0 to 2.5 N·m", "load", "seated", "conductors in, not torqued", 2, 4, True),
        Screw("load neutral", "2.0 to 2.5 N·m", "load", "seated", "conductors in, not torqued", 0, 4, False),
        Screw("neutral bar position 4", "1.2 N·m", "lead", "empty", "empty", 0, 4, False),
        Screw("earth bar position 4 first screw", "1.2 N·m", "earth", "as found", "as it was found", 0, 4, False),
        Screw("earth bar position 4 second screw", "1.2 N·m", "earth", "loose", "loose", 0, 4, False),
    ),
)
SAID = ("Socket while the toggle is held: 0 V", "Toggle when let go: falls to its tripped place", "Off, then on: open")


def gauge_of(value: str, high: str, **more: object) -> Gauge:
    """Return a gauge with an upper limit."""
    expected = (Decimal("0.21"), Decimal("0.23"))
    plain = {"bound": "", "unit": "Ω", "guard": Decimal("0.02"), "expected": expected, "log": False, **more}
    return Gauge("S3 Line to neutral", Decimal(value), passing=((None, Decimal(high)),), **plain)  # type: ignore[arg-type]


INSULATION = Gauge(
    "Line to earth", Decimal(200), ">", "MΩ", ((Decimal(1), None),), Decimal("0.1"), (Decimal(500),) * 2, True
)
CASES: dict[str, tuple[Picture, tuple[int, int]]] = {
    **{f"ring-{n}-{w}x{h}": (ring_of(n), (w, h)) for n in (4, 10, 23) for w, h in (UNDER, BESIDE)},
    "ring-spur-78x9": (ring_of(10, spur=True), UNDER),
    "ring-apart-78x9": (ring_of(10, crossed=False, other="earth"), UNDER),
    **{f"profile-{n}-{w}x{h}": (profile_of(n), (w, h)) for n in (4, 10, 23) for w, h in (UNDER, BESIDE)},
    **{f"pairs-one-{w}x{h}": (pairs_of(ONE), (w, h)) for w, h in (UNDER, BESIDE)},
    **{f"pairs-three-{w}x{h}": (pairs_of(THREE), (w, h)) for w, h in (UNDER, BESIDE)},
    **{f"terminals-{w}x{h}": (TERMINALS, (w, h)) for w, h in (UNDER, BESIDE, (53, 5))},
    "toggle-held-78x9": (Toggle("The device from the front", "B 32 A", "on", True, SAID[:1]), UNDER),
    "toggle-tripped-78x9": (Toggle("The device from the front", "B 32 A", "tripped", False, SAID), UNDER),
    "toggle-unseen-53x24": (Toggle("The device from the front", "B 32 A", "", False, ()), BESIDE),
    "gauge-pass-78x4": (gauge_of("0.22", "0.28"), (78, 4)),
    "gauge-guard-78x4": (gauge_of("0.27", "0.28"), (78, 4)),
    "gauge-fail-78x2": (gauge_of("0.45", "0.28"), (78, 2)),
    "gauge-hidden-78x4": (gauge_of("0.22", "0.28", expected=(Decimal("0.22"),) * 2), (78, 4)),
    "gauge-insulation-118x4": (INSULATION, (118, 4)),
}


@pytest.mark.parametrize("signs", [BOX, ASCII], ids=["box", "ascii"])
@pytest.mark.parametrize("name", CASES)
def test_picture_is_as_it_was_read(name: str, signs: Signs) -> None:
    """Each picture shows what its file shows, in box characters and in plain ASCII. Shows: HI-05, HI-14."""
    picture, (cells, rows) = CASES[name]
    shown = "\n".join(picture.draw(cells, rows, signs)) + "\n"
    path = FOLDER / f"{name}{'-ascii' if signs is ASCII else ''}.txt"
    if os.environ.get("FERRULE_GOLDEN") == "write":
        path.write_text(shown, encoding="utf-8")

    assert shown == path.read_text(encoding="utf-8")
    assert signs is BOX or shown.isascii()


def test_every_picture_has_its_files() -> None:
    """No file is left behind by a picture that is gone."""
    assert {p.stem for p in FOLDER.glob("*.txt")} == {f"{n}{end}" for n in CASES for end in ("", "-ascii")}


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.txt")), ids=lambda p: p.stem)
def test_no_picture_states_a_condition(path: Path) -> None:
    """No picture calls a conductor dead or safe; it shows what was seen and entered. Shows: SP-07."""
    words = path.read_text(encoding="utf-8").casefold()

    assert "dead" not in words
    assert "safe" not in words


NUMBER = st.decimals(min_value=0, max_value=5000, places=2)
ROOM = st.tuples(st.integers(1, 140), st.integers(1, 40))
TEXTS = st.text(min_size=1, max_size=30)
FORMS = st.sampled_from([profile.ABOVE, profile.BELOW, profile.NOT_REACHED, profile.UNSTABLE, profile.OPEN])


@st.composite
def bars(draw: st.DrawFn) -> tuple[Bar, ...]:
    """Return the bars of up to forty points."""
    found = []
    for n in range(draw(st.integers(1, 40))):
        value = draw(st.none() | NUMBER)
        low = draw(st.none() | NUMBER)
        form = profile.OPEN if value is not None else draw(FORMS)
        found.append(Bar(f"S{n + 1}", value, form, None if low is None else (low, low + 1), draw(st.booleans())))
    return tuple(found)


@st.composite
def gauges(draw: st.DrawFn) -> Gauge:
    """Return any gauge."""
    ends = sorted(draw(st.lists(NUMBER, min_size=2, max_size=2)))
    passing = draw(st.sampled_from([((None, ends[1]),), ((ends[0], None),), ((ends[0], ends[1]),), ()]))
    low = draw(st.none() | NUMBER)
    expected = None if low is None else (low, low + draw(NUMBER))
    bound = draw(st.sampled_from(["", ">", "<"]))
    return Gauge(draw(TEXTS), draw(NUMBER), bound, "Ω", passing, draw(NUMBER), expected, draw(st.booleans()))


@st.composite
def rings(draw: st.DrawFn) -> Ring:
    """Return a ring of up to sixty sockets, with spurs."""
    count = draw(st.integers(1, 60))
    sockets = [Socket(f"S{n}", "", draw(st.booleans()), False) for n in range(1, count + 1)]
    roots = draw(st.lists(st.integers(1, count), max_size=4))
    spurs = [Socket(f"P{n}", f"S{root}", False, False) for n, root in enumerate(roots)]
    return Ring(draw(TEXTS), draw(st.sampled_from(["neutral", "earth"])), draw(st.booleans()), (*sockets, *spurs))


@st.composite
def fields(draw: st.DrawFn) -> Pairs:
    """Return any field of pairs."""
    names = draw(st.sampled_from([ONE, THREE]))
    points = tuple((f"p{n}", draw(TEXTS)) for n in range(draw(st.integers(1, 8))))
    keys = draw(st.sets(st.tuples(st.sampled_from([p for p, _ in points]), st.sampled_from(names))))
    entered = {key: draw(st.sampled_from([(pairs.BELOW, ""), ("number", "231"), ("unstable", "")])) for key in keys}
    return Pairs(draw(TEXTS), "V", points, tuple((n, n) for n in names), entered, None)


@st.composite
def screws(draw: st.DrawFn) -> Terminals:
    """Return any set of screws."""
    states = st.sampled_from(["as found", "empty", "seated", "checked", "loose", "something else"])
    parts = st.sampled_from(["", "supply", "load", "lead", "earth"])
    found = [
        Screw(draw(TEXTS), "2 N·m", draw(parts), draw(states), draw(TEXTS), 1, 4, draw(st.booleans()))
        for _ in range(draw(st.integers(0, 12)))
    ]
    return Terminals(draw(TEXTS), draw(TEXTS), tuple(found))


TOGGLES = st.builds(
    Toggle, TEXTS, TEXTS, st.sampled_from(["on", "off", "tripped", ""]), st.booleans(), st.tuples(TEXTS, TEXTS)
)
PROFILES = st.builds(Profile, TEXTS, st.just("Ω"), bars(), st.booleans())


@given(gauges() | PROFILES | rings() | fields() | screws() | TOGGLES, ROOM, st.sampled_from([BOX, ASCII]))
def test_no_picture_leaves_its_room(picture: Picture, room: tuple[int, int], signs: Signs) -> None:
    """Whatever is drawn, no row is wider than asked, there are no more rows than asked, and ASCII is ASCII."""
    cells, rows = room
    drawn = picture.draw(cells, rows, signs)

    assert len(drawn) <= rows
    assert all(width(line) <= cells for line in drawn)
    assert signs is BOX or all(line.isascii() for line in drawn)


@given(bars(), st.tuples(st.integers(20, 140), st.integers(8, 30)))
def test_every_reading_is_drawn_or_counted_as_left_out(found: tuple[Bar, ...], room: tuple[int, int]) -> None:
    """The marks at the foot of a profile and the count of points left out make up all its points."""
    drawn = Profile("t", "", found, False).draw(*room, BOX)
    left = [int(words[words.index("left") - 2]) for words in map(str.split, drawn) if "left" in words]
    axis = next((n for n, line in enumerate(drawn) if "│" in line), None)
    if axis is None:
        return
    body = [line.partition("│")[2] for line in drawn if "│" in line]
    marks = [column for column in range(max(map(len, body))) if any(_mark(line, column) for line in body)]

    assert len(marks) + sum(left) == len(found)


def _mark(line: str, column: int) -> bool:
    return line[column : column + 1] in ("█", "^", "v", "x", "?", ".", ">")


@given(rings(), st.tuples(st.integers(40, 140), st.integers(12, 30)))
def test_every_socket_is_drawn_or_counted_as_left_out(ring: Ring, room: tuple[int, int]) -> None:
    """The sockets on the rails, the spurs beside them and the count of those left out make up the card's points."""
    drawn = ring.draw(*room, BOX)
    legend = next(n for n, line in enumerate(drawn) if "entered:" in line)
    marks = sum(line.count("•") + line.count("o") for line in drawn[1:legend] if "board" not in line)
    marks -= 0 if ring.crossed else 4
    left = sum(int(words[words.index("left") - 2]) for words in map(str.split, drawn[legend:]) if "left" in words)

    assert marks + left == len(ring.sockets)


@given(st.lists(NUMBER, min_size=2, max_size=8), st.integers(2, 120), st.booleans())
def test_scale_keeps_the_order(numbers: list[Decimal], cells: int, log: bool) -> None:
    """On every scale a larger number never stands to the left of a smaller one, and none lies outside."""
    scale = scale_of(numbers, cells, log=log)
    columns = [scale.column(number) for number in sorted(numbers)]

    assert columns == sorted(columns)
    assert columns[0] >= 0
    assert columns[-1] < scale.cells
    assert scale.low <= min(numbers) or scale.log
    assert max(numbers) <= scale.high


@given(gauges())
def test_gauge_names_every_number_that_it_marks(gauge: Gauge) -> None:
    """Reading, expected value and limits stand in digits below the scale, hidden marks included. Shows: WB-01."""
    drawn = " ".join(gauge.draw(300, 9, BOX))

    assert f"read {gauge.bound + ' ' if gauge.bound else ''}{gauge.value:f}" in drawn
    assert gauge.expected is None or f"expected {gauge.expected[0]:f}" in drawn
    for end in (end for stretch in gauge.passing for end in stretch if end):
        assert f"{end:f}" in drawn.partition("limit")[2]


def test_expected_value_is_drawn_only_where_something_was_entered() -> None:
    """An open point shows no expected value, though one is known. Shows: SP-08."""
    known = (Decimal(1), Decimal(1))
    shut = Profile("t", "Ω", (Bar("S1", None, "", known, True), Bar("S2", None, "", known, False)), False)
    half = Profile("t", "Ω", (Bar("S1", Decimal(1), "", known, False), Bar("S2", None, "", known, True)), False)

    assert "expected" not in " ".join(shut.draw(78, 9, BOX))
    body = [line.partition("│")[2] for line in half.draw(78, 9, BOX) if "│" in line]
    assert [line.find("─") for line in body if "─" in line] == [1]
