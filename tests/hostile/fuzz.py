"""Random and spoiled input for every reader of the program, from a seed that is printed when something breaks."""

from __future__ import annotations

import random
import time
from collections.abc import Callable

from ferrule.engine.canon import loads, loads_canonical
from ferrule.engine.findings import FerruleError, render
from ferrule.engine.journal.chain import read_log
from ferrule.engine.journal.diary import read_copied, read_diary
from ferrule.engine.journal.entry import decode, line_of
from ferrule.engine.procedure.load import load_card, load_limits, load_plan, load_procedure
from ferrule.engine.quantity.reading import parse_reading
from ferrule.engine.text import check_text, visible
from tests.procedure.cases import good_set
from tests.support.demodiary import world
from tests.support.demolog import demo_lines

MOST_S = 2.0
"""No single input may take longer (record_format.md §9)."""
SPICE = [
    "\x00", "\x1b[2J", "\x1b]0;x\x07", "\u202e", "\u200b", "\ufeff", "\ud800", "\U000e0041", "\r", "\x85", "\u2028",
    "&a ", "*a", "<<: ", "!!python/object/apply:os.system ", "!t ", "---\n", "...\n", "%YAML 1.1\n", "? ", ": ", "- ",
    "|", ">", "'", '"', "{", "}", "[", "]", "\t", "#", "1e999", "-0", "NaN", "0x1", "1_0", "٣", "²", "½", "1,000", "=",
]  # fmt: skip
READINGS = "0123456789.,<>+-eE_ \u0663\u202e\x00"
LINES = b"".join(demo_lines())
DIARY = b"".join(map(line_of, world(2).diary))
TEXTS = [text for _, _, text in good_set()]
LOADERS: tuple[Callable[[str, str], object], ...] = (load_card, load_plan, load_procedure, load_limits)


def spoiled_text(text: str, chance: random.Random) -> str:
    """A text with pieces put in, cut out, doubled or moved; sometimes only such pieces."""
    if chance.random() < 0.2:
        return "".join(chance.choices(SPICE, k=chance.randint(0, 40)))
    start = chance.randrange(len(text))
    text = text[start : start + chance.randint(1, 1_500)] if chance.random() < 0.8 else text
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(text) + 1)
        end = at + chance.randint(0, 30)
        text = text[:at] + chance.choice([chance.choice(SPICE), "", text[at:end] * 2]) + text[end:]
    return text


def spoiled_bytes(data: bytes, chance: random.Random) -> bytes:
    """Bytes with some of them changed, cut out, doubled or put in."""
    made = bytearray(data)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(made) + 1)
        size = chance.choice([1, 1, 2, 75, 400])
        how = chance.randrange(4)
        if how == 0:
            made[at : at + 1] = bytes([chance.randrange(256)])
        elif how == 1:
            del made[at : at + size]
        elif how == 2:
            made[at:at] = made[at : at + size]
        else:
            made[at:at] = chance.randbytes(size % 9)
    return bytes(made)


def _load(chance: random.Random) -> None:
    text = spoiled_text(chance.choice(TEXTS), chance)
    value, found = chance.choice(LOADERS)(text, "f.yaml")  # type: ignore[misc]
    assert value is not None or found
    assert render(found, {"f.yaml": text}) or not found


def _log(chance: random.Random) -> None:
    read_log(spoiled_bytes(LINES, chance))


def _line(chance: random.Random) -> None:
    decode(spoiled_bytes(chance.choice(LINES.splitlines(keepends=True)), chance))


def _diary(chance: random.Random) -> None:
    data = spoiled_bytes(DIARY, chance)
    read_copied(data)
    read_diary(data)


def _json(chance: random.Random) -> None:
    data = spoiled_bytes(LINES[8:600], chance)
    loads(data)
    loads_canonical(data)


def _reading(chance: random.Random) -> None:
    text = "".join(chance.choices(READINGS, k=chance.randint(0, 12)))
    reading = parse_reading(text, "ohm", comma=chance.random() < 0.5)
    assert reading.entered == text
    assert text.isascii()


def _text(chance: random.Random) -> None:
    text = "".join(chr(chance.choice([chance.randrange(0x250), chance.randrange(0x110000)])) for _ in range(20))
    shown = visible(text)
    assert check_text(shown) is None
    assert (shown == text) == (check_text(text) is None)


TARGETS: tuple[Callable[[random.Random], None], ...] = (_load, _log, _line, _diary, _json, _reading, _text)


def fuzz(turns: int, seed: int) -> dict[str, int]:
    """Give each reader its share of the turns; returns how often each refused, in our words and in time."""
    refused = dict.fromkeys((target.__name__ for target in TARGETS), 0)
    for turn in range(turns):
        chance = random.Random(f"{seed}-{turn}")
        target = TARGETS[turn % len(TARGETS)]
        start = time.perf_counter()
        try:
            target(chance)
        except FerruleError:
            refused[target.__name__] += 1
        except Exception as error:
            raise AssertionError(f"seed {seed}, turn {turn}, {target.__name__}: {error!r}") from error
        assert time.perf_counter() - start < MOST_S, (seed, turn, target.__name__)
    return refused
