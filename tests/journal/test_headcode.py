"""The head of a log in letters and as the text of a QR code."""

import base64

import pytest

from ferrule.engine.journal.headcode import LETTERS, Head, head_letters, head_lines, head_of, is_code_of, qr_text
from tests.support.demodiary import job_id, world

SUM = "00" * 15 + "0123456789abcdef" + "ff" * 9


def test_the_code_has_twenty_six_letters_of_the_head() -> None:
    """The code is the first 130 bits of the sum in base32, in groups of four, the rest of it in the last."""
    letters = head_letters(SUM)
    groups = letters.split(" ")

    assert [len(group) for group in groups] == [4] * 6 + [2]
    assert "".join(groups) == base64.b32encode(bytes.fromhex(SUM)).decode().lower()[:LETTERS]
    assert set("".join(groups)) <= set("abcdefghijklmnopqrstuvwxyz234567")


@pytest.mark.parametrize("bit", [0, 1, 64, 127, 128, 129])
def test_each_of_the_first_130_bits_counts(bit: int) -> None:
    """No bit of the first 130 can be turned without another code."""
    turned = f"{int(SUM, 16) ^ (1 << (255 - bit)):064x}"

    assert head_letters(turned) != head_letters(SUM)


def test_a_code_is_known_again_however_it_was_written_down() -> None:
    """Blanks, hyphens and capitals do not matter; a wrong or missing letter does."""
    letters = head_letters(SUM)

    assert is_code_of(letters, SUM)
    assert is_code_of(letters.upper().replace(" ", "-"), SUM)
    assert not is_code_of(letters[:-1], SUM)
    assert not is_code_of("b" + letters[1:], SUM)


def test_the_qr_text_holds_id_count_and_full_sum_in_few_signs() -> None:
    """The text can be taken apart again into the three, and holds only signs of the small QR alphabet."""
    head = head_of(job_id(0), world(1).logs[job_id(0)][-1])
    word, name, count, sum_hex = qr_text(head).split(" ")

    assert (word, name.lower(), int(count), sum_hex.lower()) == ("FERRULE", head.job_id, 3, head.sum)
    assert set(qr_text(head)) <= set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")


def test_the_lines_say_job_count_sum_and_code() -> None:
    """In words stand the id, the number of entries, the whole sum, and the letters."""
    said = "\n".join(head_lines(Head(job_id(0), 7, SUM)))

    assert all(part in said for part in (job_id(0), "7 entries", SUM, head_letters(SUM)))
