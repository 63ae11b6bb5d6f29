"""The diary as bytes: read strictly, held against logs and copied heads, and every deletion judged."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import pytest

from ferrule.engine.journal.chain import LogDamaged
from ferrule.engine.journal.diary import compare, job_line, read_copied, read_diary, reconcile
from ferrule.engine.journal.entry import Entry, EntryError, encode, line_of
from ferrule.engine.journal.schema import check_diary_data
from tests.support.demodiary import chained, job_id, world
from tests.support.demolog import RESUMED_DATA

JOBS = 8


def deletions(most: int = JOBS) -> Iterator[tuple[int, frozenset[int]]]:
    """Every way to take some of 1 to `most` jobs away, the last of them or others."""
    for count in range(1, most + 1):
        for size in range(1, count + 1):
            for gone in combinations(range(count), size):
                yield count, frozenset(gone)


def codes(found: object) -> set[str]:
    """The codes of what was found."""
    return {fault.code for fault in found}  # type: ignore[attr-defined]


def data_of(lines: tuple[Entry, ...]) -> bytes:
    """The bytes of a diary."""
    return b"".join(map(line_of, lines))


def test_sound_folders_have_no_fault() -> None:
    """Diary, logs and all copied lines agree where nothing was touched, for 1 to 8 jobs. Shows: RI-06."""
    for count in range(1, JOBS + 1):
        sound = world(count)

        assert compare(sound.diary, sound.logs, sound.diary) == ()


def test_every_deletion_of_logs_is_named_job_by_job() -> None:
    """Whichever logs are taken away while the diary stays, exactly those jobs are named as missing. Shows: RI-06."""
    tried = 0
    for count, gone in deletions():
        left = world(count).without_logs({job_id(n) for n in gone})
        found = compare(left.diary, left.logs)
        tried += 1

        assert {fault.job_id for fault in found if fault.code == "no-log"} == {job_id(n) for n in gone}
        assert codes(found) == {"no-log"}

    assert tried == sum(2**count - 1 for count in range(1, JOBS + 1)) == 502


def test_deletion_with_a_forged_diary_is_found_unless_it_is_the_latest_jobs() -> None:
    """Logs taken away together with their lines, all sums made right: found whenever a later job is left, because its
    log froze what stood before it; the latest jobs alone can go unseen, as the manual says. Shows: RI-06."""
    unseen = 0
    for count, gone in deletions():
        left = world(count).forged_without({job_id(n) for n in gone})
        later_left = any(n > min(gone) for n in set(range(count)) - gone)
        found = compare(left.diary, left.logs)
        unseen += not found

        assert bool(found) == later_left
        assert codes(found) <= {"diary-cut", "diary-changed"}

    assert unseen == sum(range(1, JOBS + 1)) == 36


def test_with_a_head_that_left_the_machine_every_deletion_is_found() -> None:
    """One copied line, that of the last close, is enough: no deletion goes unseen any more. Shows: RI-06."""
    for count, gone in deletions():
        sound = world(count)
        left = sound.forged_without({job_id(n) for n in gone})

        assert codes(compare(left.diary, left.logs, sound.diary[-1:])) & {"diary-cut", "diary-changed"}


def test_a_diary_without_its_end_is_found_while_the_logs_are_there() -> None:
    """Cut the diary after any line: each job whose lines are gone is named, or is the one that stayed open."""
    sound = world(4)
    for kept in range(len(sound.diary)):
        found = compare(sound.diary[:kept], sound.logs)
        whole = {line.data["job_id"] for line in sound.diary[:kept]}

        assert {fault.job_id for fault in found if fault.code == "no-line"} == sound.logs.keys() - whole


def test_a_shortened_and_a_changed_log_are_told_apart() -> None:
    """A log without its end and a log with other entries are two faults, each with the line that shows it."""
    sound = world(2)
    name = job_id(1)
    cut = compare(sound.diary, {**sound.logs, name: sound.logs[name][:2]})
    changed = compare(sound.diary, {**sound.logs, name: sound.logs[job_id(0)]})

    assert [(fault.code, fault.job_id) for fault in cut] == [("log-cut", name)]
    assert "with 3 entries, and its log has 2" in cut[0].sentence
    assert "log-changed" in codes(changed)


def test_reconcile_names_what_a_start_has_to_tell() -> None:
    """Logs without a line, lines without a log, and jobs whose close no line tells are told apart."""
    sound = world(3)
    here = [job_id(0), job_id(1), job_id(7)]
    seen = reconcile(sound.diary[:3], here)

    assert seen.unnamed == (job_id(7),)
    assert [(line.kind, line.data["job_id"]) for line in seen.unended] == [("opened", job_id(1))]
    assert seen.missing == ()
    assert [line.data["job_id"] for line in reconcile(sound.diary, here).missing] == [job_id(2)]
    assert [line.kind for line in reconcile(sound.diary, here).missing] == ["closed"]


def test_a_diary_reads_back_whole_and_in_parts() -> None:
    """What was written is read again, at once or from any line on; a torn end is told, not taken."""
    lines = world(3).diary
    data = data_of(lines)

    assert read_diary(data).entries == lines
    for at in range(1, len(lines)):
        rest = read_diary(data_of(lines[at:]), after=lines[at - 1])
        assert rest.entries == lines[at:]
    torn = read_diary(data[:-1])
    assert (torn.entries, torn.torn) == (lines[:-1], True)


def test_every_flipped_byte_of_a_diary_is_found() -> None:
    """One bit turned anywhere never leaves the same diary: it is damage, or the last line is torn. Shows: RI-14."""
    lines = world(2).diary
    data = data_of(lines)
    for at in range(len(data)):
        changed = bytearray(data)
        changed[at] ^= 1
        try:
            read = read_diary(bytes(changed))
        except LogDamaged:
            continue
        assert read.torn
        assert read.entries == lines[:-1]


@pytest.mark.parametrize(
    ("kind", "data", "says"),
    [
        ("did", job_line(job_id(0), 1, "0" * 64), '"did" is not a kind of diary line'),
        ("opened", {"job_id": job_id(0), "entries": 1}, 'has no "head"'),
        ("opened", job_line("KR1", 1, "0" * 64), "a job id such as"),
        ("closed", job_line(job_id(0), 1, "0" * 64) | {"title": "x"}, 'holds "title"'),
        ("resumed", dict(RESUMED_DATA, torn_bytes=3), "exactly when something was cut"),
    ],
)
def test_a_diary_line_of_another_shape_is_refused(kind: str, data: dict[str, object], says: str) -> None:
    """Schemas of the diary are closed, like those of the log."""
    with pytest.raises(EntryError, match=says):
        check_diary_data(kind, data)


def test_a_swapped_or_doubled_line_is_damage() -> None:
    """Lines out of their order are refused with the number of the first wrong one."""
    lines = world(2).diary
    for wrong in ((lines[1], lines[0]), (lines[0], lines[0]), (lines[0], lines[2])):
        with pytest.raises(LogDamaged, match=r"Entry [12] of the diary"):
            read_diary(data_of(wrong))


def test_copied_lines_stand_each_by_itself() -> None:
    """Of a file of copied lines every whole one counts, wherever it begins; broken ones are counted as such."""
    lines = world(3).diary
    half = line_of(lines[3])[:40] + b"\n"
    other = encode("did", 0, "0" * 64, "2026-03-14T09:30:00Z", 0, "b:0", {"job_id": "x"})[0]

    assert read_copied(line_of(lines[1]) + half + other + line_of(lines[5])) == ((lines[1], lines[5]), 2)
    assert read_copied(b"") == ((), 0)


def test_a_found_line_counts_like_an_opened_one() -> None:
    """A job that was entered as found is in the diary; its earlier absence is no fault for ever."""
    sound = world(1)
    log = sound.logs[job_id(0)]
    diary = chained([("found", job_line(job_id(0), 3, log[2].sum))])

    assert compare(diary, sound.logs) == ()
