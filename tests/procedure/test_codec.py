"""A compiled job goes to JSON and back without loss and without the libraries that read files."""

import copy
import subprocess
import sys
from typing import Any

import pytest

from ferrule.engine import canon
from ferrule.engine.procedure.codec import CodecError, job_from_json, job_to_json
from ferrule.engine.procedure.load import compile_job
from tests.procedure.cases import good_set

JOB = compile_job(good_set())


def test_a_job_survives_the_way_there_and_back() -> None:
    """Bytes in canonical form give back an equal job, with the order of its mappings and the zeros of its numbers."""
    stored = canon.dumps(job_to_json(JOB))
    back = job_from_json(canon.loads(stored))

    assert back == JOB
    assert list(back.procedures) == list(JOB.procedures)
    assert list(back.limits.rows) == list(JOB.limits.rows)
    assert str(back.card.device.terminals[0].low_nm) == "2.0"
    assert canon.dumps(job_to_json(back)) == stored


def spoil(change: str) -> dict[str, Any]:
    """The stored form of the job with one thing wrong."""
    stored = copy.deepcopy(job_to_json(JOB))
    card = stored["job"]["card"]
    if change == "format":
        stored["format"] = 0
    elif change == "missing":
        del card["board"]
    elif change == "too many":
        card["more"] = ""
    elif change == "number":
        card["circuit"]["line_mm2"] = 2.5
    elif change == "exponent":
        card["circuit"]["line_mm2"] = "25E-1"
    elif change == "not a number":
        card["circuit"]["line_mm2"] = "NaN"
    elif change == "word":
        card["circuit"]["points_how"] = "guessed"
    elif change == "list":
        card["people"] = {}
    elif change == "pairs":
        stored["job"]["card_facts"] = [["circuit"]]
    elif change == "twice":
        stored["job"]["card_facts"] *= 2
    elif change == "flag":
        card["decimal_comma"] = 1
    return stored


@pytest.mark.parametrize(
    "change",
    [
        "format",
        "missing",
        "too many",
        "number",
        "exponent",
        "not a number",
        "word",
        "list",
        "pairs",
        "twice",
        "flag",
    ],
)
def test_what_is_no_compiled_job_is_refused(change: str) -> None:
    """A cache of another format, or one that was changed, is refused by one error, so that it is made anew."""
    with pytest.raises(CodecError):
        job_from_json(spoil(change))


def test_what_the_walk_imports_reads_no_files() -> None:
    """The modules on the start path load neither pydantic nor a YAML library."""
    modules = ", ".join(f"ferrule.engine.procedure.{name}" for name in ("codec", "lists", "words", "amend", "compiled"))
    code = f"import sys, {modules}; print([m for m in sys.modules if m.split('.')[0] in ('pydantic', 'ruamel')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"
