"""A whole log: accepted only as it was written; anything else is named, or torn at its very end."""

import random
from typing import Any

import pytest

from ferrule.engine.journal.chain import LogDamaged, LogRead, read_log
from tests.support.demolog import CLOSE_DATA, RESUMED_DATA, SIGNATURE_DATA, demo_lines, did_data, open_data, relink
from tests.support.demolog import write_lines as write

LINES = demo_lines()
LOG = b"".join(LINES)
STARTS = [sum(len(line) for line in LINES[:number]) for number in range(len(LINES) + 1)]


def damage(data: bytes) -> LogDamaged:
    """The refusal that this log meets."""
    with pytest.raises(LogDamaged) as caught:
        read_log(data)
    return caught.value


def test_whole_log_is_read() -> None:
    """A sound log gives its entries in order, leaves nothing over, and says whether the job was closed."""
    read = read_log(LOG)

    assert [entry.kind for entry in read.entries] == ["open", "did", "checkpoint", "did", "close"]
    assert (read.good_size, read.tail, read.torn, read.closed) == (len(LOG), b"", False, True)
    assert not read_log(b"".join(LINES[:4])).closed


def test_signed_and_resumed_log_stays_closed() -> None:
    """Signatures and resumptions after the close do not open the job again."""
    parts: list[tuple[str, Any]] = [("open", open_data()), ("resumed", RESUMED_DATA)]
    assert not read_log(b"".join(write(parts))).closed
    parts += [("close", CLOSE_DATA), ("resumed", RESUMED_DATA), ("signature", SIGNATURE_DATA)]

    assert read_log(b"".join(write(parts))).closed


def test_cut_at_every_byte_is_torn_or_shorter_never_whole() -> None:
    """Cut anywhere, the whole entries before the cut are read and the rest is a torn tail; a line without its line
    feed does not count. Shows: IR-02."""
    for size in range(len(LOG)):
        read = read_log(LOG[:size])
        whole = sum(start <= size for start in STARTS[1:])

        assert len(read.entries) == whole
        assert read.good_size == STARTS[whole]
        assert read.tail == LOG[STARTS[whole] : size]
        assert read.torn is (size not in STARTS)


def test_zeros_in_place_of_the_last_line_are_torn() -> None:
    """What a power loss leaves where blocks were not written is a torn tail, with or without the end of the line.
    Shows: IR-02."""
    for tail in (bytes(100), bytes(40) + LINES[4][40:], LINES[4][:40] + bytes(60), LINES[4][:40] + b"\n" + bytes(60)):
        read = read_log(b"".join(LINES[:4]) + tail)

        assert read == LogRead(read.entries, STARTS[4], tail, torn=True)
        assert len(read.entries) == 4


def test_anything_after_a_broken_line_is_damage_not_a_torn_tail() -> None:
    """A broken line with more than zeros behind it was not the last one written: nothing is cut. Shows: IR-02."""
    for tail in (
        LINES[4][:40] + b"\n" + LINES[4],
        bytes(40) + b"\n" + bytes(8) + b"x",
        b"\n\n",
        LINES[3][:30] + LINES[4] + b"x",
    ):
        assert damage(b"".join(LINES[:4]) + tail).entry == 5


def test_lost_line_feed_does_not_cost_two_entries() -> None:
    """If the line feed between the last two entries is lost, that is damage, whether the last one is whole or cut off:
    two entries that were saved are not taken for one torn line. Shows: IR-01, RI-14."""
    joined = b"".join(LINES[:3]) + LINES[3].replace(b"\n", b"\0")

    assert damage(joined + LINES[4]).entry == 4
    assert damage(joined + LINES[4][:-30]).entry == 4


def test_every_changed_byte_is_found_and_its_entry_named() -> None:
    """Each byte of the log is changed, one at a time: the log is never read as whole, and the entry that holds the
    byte is named, or is the torn last one. Shows: RI-14."""
    for at in range(len(LOG)):
        changed = LOG[:at] + bytes([LOG[at] ^ 1 << at % 8]) + LOG[at + 1 :]
        holder = sum(start <= at for start in STARTS)
        if holder < len(LINES):
            assert damage(changed).entry == holder
        else:
            assert read_log(changed).torn
            assert len(read_log(changed).entries) == len(LINES) - 1


def test_every_bit_of_two_lines_is_guarded() -> None:
    """Each bit of a middle line is found as damage in that line. Shows: RI-14."""
    for at in range(STARTS[2], STARTS[3]):
        for bit in range(8):
            changed = LOG[:at] + bytes([LOG[at] ^ 1 << bit]) + LOG[at + 1 :]
            assert damage(changed).entry == 3


@pytest.mark.parametrize("number", range(1, len(LINES)))
def test_dropped_doubled_and_swapped_entries_are_found(number: int) -> None:
    """An entry left out, put in twice or changed for its neighbour is found, though each line is sound in itself.
    Shows: RI-01."""
    dropped = LINES[: number - 1] + LINES[number:]
    doubled = [*LINES[:number], LINES[number - 1], *LINES[number:]]
    swapped = [*LINES[: number - 1], LINES[number], LINES[number - 1], *LINES[number + 1 :]]

    assert damage(b"".join(dropped)).entry == number
    assert damage(b"".join(doubled)).entry == number + 1
    assert damage(b"".join(swapped)).entry == number


@pytest.mark.parametrize("number", range(1, len(LINES) - 1))
def test_edit_with_its_sum_made_right_breaks_the_next_link(number: int) -> None:
    """A forger who edits one entry and makes its sum right is found at the entry behind it. Shows: RI-14."""
    line, _ = relink(LINES[number], wall="2026-03-14T09:29:00.000+00:00")

    found = damage(b"".join([*LINES[:number], line, *LINES[number + 1 :]]))

    assert (found.entry, found.code) == (number + 2, "prev")


@pytest.mark.parametrize(
    ("changes", "code", "words"),
    [
        ({"seq": 4}, "seq", "Its number is 4, where 3 was expected"),
        ({"prev": "f" * 64}, "prev", "the one before it"),
        ({"kind": "amended"}, "schema", '"amended" is not a kind of entry'),
        ({"kind": "open", "data": open_data()}, "schema", "the first entry, and no other"),
        ({"data": did_data(1) | {"note": "x"}}, "schema", '"note"'),
        ({"mono_ms": 1_999}, "elapsed", "less than the 2000 ms before it"),
    ],
)
def test_whole_line_that_does_not_fit_is_damage_even_at_the_end(changes: dict[str, Any], code: str, words: str) -> None:
    """A last line whose sum holds was written whole: if it does not belong there it is damage, never a torn tail to be
    cut, and the message says which entry and why."""
    line, _ = relink(LINES[3], **changes)

    found = damage(b"".join(LINES[:3]) + line)

    assert (found.entry, found.code) == (4, code)
    assert words in str(found)
    assert "Entry 4 of this log is damaged or was changed." in str(found)
    assert "leave the file as it is" in str(found)


def test_last_line_in_another_byte_form_is_damage() -> None:
    """A blank added inside the last line, with the sum made right, is a change and not a torn write. Shows: RI-02."""
    from ferrule.engine.canon import sha256_hex

    body = LINES[3][8:-75].replace(b":", b": ", 1)
    line = b'{"body":' + body + b',"sum":"' + sha256_hex(body).encode() + b'"}\n'

    assert damage(b"".join(LINES[:3]) + line).code == "form"


def test_first_entry_opens_the_job_and_keeps_its_texts() -> None:
    """A log that begins otherwise is refused, and so is one whose embedded text was exchanged. Shows: RI-10."""
    not_open = write([("did", did_data(1))])
    exchanged = open_data()
    exchanged["texts"] = [exchanged["texts"][0] | {"text": "board: KR2\n"}]

    assert damage(not_open[0]).code == "schema"
    assert damage(b"".join(write([("open", exchanged)]))).code == "text"


@pytest.mark.parametrize("kind", ["did", "checkpoint", "clock_step", "close", "open"])
def test_only_signatures_and_resumptions_follow_the_close(kind: str) -> None:
    """A step, checkpoint, clock step or second close behind the close is damage."""
    data: dict[str, Any] = {
        "did": did_data(1),
        "checkpoint": {"stage": "late"},
        "clock_step": {
            "wall_before": "2026-03-14T09:30:00Z",
            "wall_after": "2026-03-14T09:30:00Z",
            "mono_ms_before": 0,
            "mono_ms_after": 0,
        },
        "close": CLOSE_DATA,
        "open": open_data(),
    }
    for between in ([], [("signature", SIGNATURE_DATA)], [("resumed", RESUMED_DATA)]):
        parts = [("open", open_data()), ("close", CLOSE_DATA), *between, (kind, data[kind])]

        assert damage(b"".join(write(parts))).entry == len(parts)


def test_log_may_have_twenty_thousand_entries_and_no_more() -> None:
    """The bound on entries is exact, and a log at the bound is read in one pass."""
    lines = write([("open", open_data()), *[("checkpoint", {"stage": "again"})] * 20_000])

    assert len(read_log(b"".join(lines[:20_000])).entries) == 20_000
    assert damage(b"".join(lines)).code == "size"


def test_log_over_its_size_is_refused_before_it_is_read() -> None:
    """One byte over 32 MiB is refused as a whole."""
    assert (damage(bytes(32 * 1024 * 1024 + 1)).entry, damage(bytes(32 * 1024 * 1024 + 1)).code) == (0, "size")


def test_any_bytes_give_a_log_or_our_error() -> None:
    """Garbage and mutated logs give a reading or LogDamaged, never another exception and never more entries than
    were written; the seed is fixed."""
    chance = random.Random(7)
    refused = 0
    for _ in range(400):
        data = bytearray(LOG if chance.random() < 0.8 else chance.randbytes(200))
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(len(data))
            piece = chance.choice(
                [b"", b"\n", b"\0", b'"', b"{", chance.randbytes(3), bytes(LINES[chance.randrange(5)])]
            )
            data[at : at + chance.randint(0, 40)] = piece
        try:
            read = read_log(bytes(data))
        except LogDamaged:
            refused += 1
        else:
            assert read.good_size + len(read.tail) == len(data)
            assert bytes(data[: read.good_size]) == LOG[: read.good_size]

    assert 0 < refused < 400
