"""Every bad file is found out, at its place and for its one fault; the sound set is clean."""

import re
from functools import cache
from pathlib import Path

import pytest

from ferrule.engine import procedure, prover
from ferrule.engine.findings import CODES, BadFile, Finding, render
from ferrule.engine.procedure.load import compile_job
from ferrule.engine.prover.proof_findings import CODES_OF_PROOF
from ferrule.engine.prover.structure import check_set, check_texts
from ferrule.engine.prover.writing import BY_CODE
from tests.procedure.cases import Bad, bad_files, good_set, name_of

GOLDEN = Path(__file__).with_name("messages.txt")
BAD = bad_files()


@cache
def findings_of(bad: Bad) -> tuple[Finding, ...]:
    """What is found in the set with the bad file."""
    if not bad.without:
        return check_texts(bad.texts(), bad.today)
    with pytest.raises(BadFile) as raised:
        compile_job(bad.texts())
    return raised.value.findings


def said(finding: Finding, file: str) -> str:
    """A finding as the head of a case writes it."""
    if finding.place is None:
        return f"{finding.code} -"
    spot = f"{finding.code} {finding.place.line}:{finding.place.column}"
    return spot if finding.place.file == file else f"{spot} {finding.place.file}"


@pytest.mark.parametrize("bad", BAD, ids=lambda bad: bad.file)
def test_a_bad_file_is_found_out_at_its_place(bad: Bad) -> None:
    """A bad file gives just the findings that its head names, each at its line and column.

    Shows: PA-08, PA-09, PA-10, PA-18, PA-23
    """
    found = findings_of(bad)

    assert sorted(said(finding, "/".join(name_of(bad.text))) for finding in found) == sorted(bad.expect)


@pytest.mark.parametrize("bad", BAD, ids=lambda bad: bad.file)
def test_a_bad_file_is_sound_once_its_fault_is_mended(bad: Bad) -> None:
    """What is found in a bad file is only its one fault: mended, the same file is clean."""
    assert bad.mends or bad.without

    assert check_texts(bad.mended(), bad.today) == ()


def test_the_small_set_is_clean() -> None:
    """The set that the bad files spoil has no finding itself, compiled or bare."""
    assert check_texts(good_set()) == ()
    assert check_set(compile_job(good_set())) == ()


def test_every_code_has_a_bad_example() -> None:
    """Each finding code that the loader and the checks of structure use is shown by at least one bad file.

    A rule of writing brings its own examples; what a proof finds is shown in `test_proof_findings`.
    """
    rooms = [Path(room.__file__).parent.glob("*.py") for room in (procedure, prover) if room.__file__]
    source = "\n".join(path.read_text("utf-8") for paths in rooms for path in paths)
    used = {code for code in re.findall(r'"([a-z]+(?:-[a-z]+)+)"', source) if code in CODES}
    shown = {expected.split()[0] for bad in BAD for expected in bad.expect}

    assert len(used) > 30
    assert used - shown - BY_CODE.keys() == set(CODES_OF_PROOF)


def test_every_bad_file_is_named_after_its_code() -> None:
    """A bad file's name begins with a code that it shows, so that an example is found by its name."""
    for bad in BAD:
        assert any(bad.file.startswith(expected.split()[0]) for expected in bad.expect), bad.file


def rendered() -> str:
    """All messages of all bad files as a person sees them."""
    parts = []
    for bad in BAD:
        names = {f"{role}/{name}": text for role, name, text in bad.texts()}
        parts.append(f"== {bad.file}\n{render(findings_of(bad), names)}\n")
    return "\n".join(parts)


def test_every_message_reads_as_it_was_approved() -> None:
    """The text of each message, its excerpt and its hint are those that somebody has read and approved."""
    assert rendered() == GOLDEN.read_text("utf-8")
