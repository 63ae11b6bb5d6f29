"""The head of a log in forms that leave the machine: letters to write down, and a text for a QR code.

For: a later look whether the log still holds what it held when somebody noted its head.
Must never: shorten the head below 130 bits; somebody who prepares two logs could make shorter codes agree.
"""

import base64

from ferrule.engine.journal.entry import Entry
from ferrule.engine.light import dataclass

LETTERS = 26
"""Base32 letters of a code (RFC 4648): 5 bits each, so the first 130 bits of the head."""
_GROUP = 4


@dataclass(frozen=True, slots=True)
class Head:
    """A log up to one of its entries."""

    job_id: str
    entries: int
    sum: str
    """The sum of the last of these entries."""


def head_of(job_id: str, last: Entry) -> Head:
    """The head of a log whose last entry this is."""
    return Head(job_id, last.seq + 1, last.sum)


def head_letters(sum_hex: str) -> str:
    """The code of 26 letters and digits a to z and 2 to 7, in groups of four."""
    code = base64.b32encode(bytes.fromhex(sum_hex)).decode("ascii").lower()[:LETTERS]
    return " ".join(code[at : at + _GROUP] for at in range(0, LETTERS, _GROUP))


def is_code_of(typed: str, sum_hex: str) -> bool:
    """True when what was typed, with blanks or hyphens and in any case, is the code of this sum."""
    return "".join(typed.split()).replace("-", "").lower() == head_letters(sum_hex).replace(" ", "")


def qr_text(head: Head) -> str:
    """What the QR code holds: the job's id, the number of entries and the full sum; capitals make it smaller."""
    return f"FERRULE {head.job_id.upper()} {head.entries} {head.sum.upper()}"


def head_lines(head: Head) -> tuple[str, ...]:
    """The head in words, for a screen, a piece of paper or a telephone."""
    return (
        f"Job {head.job_id}, {head.entries} entries.",
        f"Sum: {head.sum}",
        f"Code: {head_letters(head.sum)}",
    )
