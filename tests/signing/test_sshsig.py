"""SSHSIG: one byte form, strict keys and numbers, and OpenSSH agrees on both sides."""

from __future__ import annotations

import base64
import subprocess
from pathlib import Path

import pytest

from ferrule.engine.journal.sshsig import (
    ROLE_NAMESPACES,
    Sshsig,
    SshsigError,
    armour,
    fingerprint,
    key_of,
    make,
    parse,
    parse_public,
    public_blob,
    public_text,
    signed_bytes,
)
from tests.support.outside import need_program
from tests.support.signing import CHECK, SUPER, TECH

NAMESPACE = ROLE_NAMESPACES["technician"]
MESSAGE = b"ferrule statement 1\njob: of the tests\n"
SIGNATURE = make(NAMESPACE, MESSAGE, TECH.public, TECH.private.sign)
P = 2**255 - 19
D = -121665 * pow(121666, -1, P) % P
ORDER = 2**252 + 27742317777372353535851937790883648493

VECTORS = (
    (
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595b"
        "be24655141438e7a100b",
        "RFC 8032 §7.1 test 1 (from memory)",
    ),
    (
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb430"
        "2aeeb00d291612bb0c00",
        "RFC 8032 §7.1 test 2 (from memory)",
    ),
    (
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716e"
        "d28dc027beceea1ec40a",
        "RFC 8032 §7.1 test 3 (from memory)",
    ),
)


def changed(**parts: object) -> str:
    """An armour with parts of the signature replaced."""
    found = parse(SIGNATURE)
    given = {"public": found.public, "namespace": found.namespace, "signature": found.signature} | parts
    return armour(Sshsig(**given))  # type: ignore[arg-type]


def code_of(text: str) -> str:
    """The code of the refusal that this armour meets."""
    with pytest.raises(SshsigError) as caught:
        parse(text)
    return caught.value.code


def rewrapped(blob: bytes) -> str:
    """An armour around any blob, wrapped as ours."""
    text = base64.b64encode(blob).decode()
    lines = "".join(f"{text[at : at + 70]}\n" for at in range(0, len(text), 70))
    return f"-----BEGIN SSH SIGNATURE-----\n{lines}-----END SSH SIGNATURE-----\n"


BLOB = base64.b64decode("".join(SIGNATURE.splitlines()[1:-1]))


def test_what_is_written_is_read_again() -> None:
    """An armour gives back key, namespace and signature, and the signature belongs to its message and to no other."""
    found = parse(SIGNATURE)

    assert (found.public, found.namespace) == (TECH.public, NAMESPACE)
    assert rewrapped(BLOB) == SIGNATURE
    assert CHECK is not None
    assert CHECK(found.public, found.signature, signed_bytes(NAMESPACE, MESSAGE))
    assert not CHECK(found.public, found.signature, signed_bytes(NAMESPACE, MESSAGE + b" "))
    assert not CHECK(found.public, found.signature, signed_bytes(ROLE_NAMESPACES["supervisor"], MESSAGE))
    assert not CHECK(SUPER.public, found.signature, signed_bytes(NAMESPACE, MESSAGE))


@pytest.mark.parametrize("row", VECTORS, ids=lambda row: row[3])
def test_published_vectors_pass(row: tuple[str, str, str, str]) -> None:
    """The published examples verify, and none of them with another message. Shows: SG-13."""
    public, message, signature, source = (*map(bytes.fromhex, row[:3]), row[3])

    assert source
    assert CHECK is not None
    assert CHECK(public, signature, message)
    assert not CHECK(public, signature, message + b"x")
    assert key_of(public_blob(public)) == public


def test_every_changed_bit_of_a_signature_is_refused_or_fails() -> None:
    """Each bit of the blob is flipped: the armour is refused, or it does not verify any more. Shows: SG-13."""
    assert CHECK is not None
    for at in range(len(BLOB)):
        for bit in range(8):
            blob = BLOB[:at] + bytes([BLOB[at] ^ 1 << bit]) + BLOB[at + 1 :]
            try:
                found = parse(rewrapped(blob))
            except SshsigError:
                continue
            assert not (
                found.namespace == NAMESPACE
                and CHECK(found.public, found.signature, signed_bytes(found.namespace, MESSAGE))
            )


def test_other_ways_to_write_the_same_signature_are_refused() -> None:
    """Another wrapping, a blank, a missing line end, loose padding bits: the armour has one form. Shows: SG-13."""
    text = "".join(SIGNATURE.splitlines()[1:-1])
    flat = f"-----BEGIN SSH SIGNATURE-----\n{text}\n-----END SSH SIGNATURE-----\n"
    forms = [flat, SIGNATURE.replace("\n", "\r\n"), SIGNATURE[:-1], f"{SIGNATURE}\n", f" {SIGNATURE}"]
    forms.append(SIGNATURE.replace("-----\n", "-----\n\n", 1))
    bare = text.rstrip("=")
    assert bare != text
    loose = bare[:-1] + chr(ord(bare[-1]) + 1) + text[len(bare) :]
    assert base64.b64decode(loose) == BLOB
    forms.append(SIGNATURE.replace(f"{text[-10:]}\n", f"{loose[-10:]}\n"))

    assert {code_of(form) for form in forms} == {"form"}


def small_order() -> set[int]:
    """The y of all points whose order divides eight, worked out on the curve from points taken at random."""
    found = set()
    for y in range(2, 60):
        square = (y * y - 1) * pow(D * y * y + 1, -1, P) % P
        x = pow(square, (P + 3) // 8, P)
        x = x if x * x % P == square else x * pow(2, (P - 1) // 4, P) % P
        if x * x % P == square:
            found.add(times(ORDER, (x, y))[1])
    return found


def times(number: int, point: tuple[int, int]) -> tuple[int, int]:
    """A multiple of a point on edwards25519 (RFC 8032 §5.1, from memory)."""
    total = (0, 1)
    while number:
        total = added(total, point) if number & 1 else total
        point = added(point, point)
        number >>= 1
    return total


def added(one: tuple[int, int], other: tuple[int, int]) -> tuple[int, int]:
    """The sum of two points."""
    both = D * one[0] * other[0] * one[1] * other[1] % P
    x = (one[0] * other[1] + one[1] * other[0]) * pow(1 + both, -1, P)
    y = (one[1] * other[1] + one[0] * other[0]) * pow(1 - both, -1, P)
    return x % P, y % P


def test_keys_and_points_of_small_order_are_refused() -> None:
    """All points of small order, in each way to write them, are refused as key and inside a signature. Shows: SG-13."""
    ys = small_order()
    assert len(ys) == 5
    encodings = [
        (y + add | sign << 255).to_bytes(32, "little")
        for y in ys
        for add in (0, P)
        for sign in (0, 1)
        if y + add < 2**255
    ]
    refused = 0
    for point in encodings:
        with pytest.raises(SshsigError):
            key_of(public_blob(point))
        assert code_of(changed(public=point)) == "form"
        assert code_of(changed(signature=point + parse(SIGNATURE).signature[32:])) == "form"
        refused += 1

    assert refused >= 14


def test_second_form_of_the_same_number_is_refused() -> None:
    """With the group's order added, a signature would verify twice over: it is refused. Shows: SG-13."""
    signature = parse(SIGNATURE).signature
    number = int.from_bytes(signature[32:], "little")

    assert code_of(changed(signature=signature[:32] + (number + ORDER).to_bytes(32, "little"))) == "form"


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        (b"SSHSIG\0\0\0\1", b"SSHSIG\0\0\0\2", "algorithm"),
        (b"\0\0\0\x06sha512", b"\0\0\0\x06sha256", "algorithm"),
        (b"ssh-ed25519", b"ssh-ed25518", "algorithm"),
        (b"SSHSIG", b"SSHSIH", "form"),
        (b"\0\0\0\x06sha512", b"\0\0\0\x7fsha512", "form"),
    ],
)
def test_what_is_not_known_differs_from_what_is_broken(old: bytes, new: bytes, code: str) -> None:
    """An unknown version, hash or kind of key has a code of its own, and no fall-back. Shows: RI-12."""
    assert BLOB.count(old) >= 1

    assert code_of(rewrapped(BLOB.replace(old, new))) == code


def test_public_keys_have_one_form() -> None:
    """A public key is read as it is written, and in no other way."""
    text = public_text(TECH.public)

    assert parse_public(f"{text} Ash Glaze") == TECH.public
    for wrong in (
        text.replace("ssh-ed25519", "ssh-rsa"),
        text[:-1],
        f"{text}=",
        text.replace(" ", "  "),
        "",
        "ssh-ed25519",
    ):
        with pytest.raises(SshsigError):
            parse_public(wrong)


# --- OpenSSH ---


def test_openssh_accepts_our_signatures(tmp_path: Path) -> None:
    """ssh-keygen takes what is made here, and shows the same fingerprint."""
    keygen = need_program("ssh-keygen")
    (tmp_path / "sig").write_text(SIGNATURE)
    (tmp_path / "key.pub").write_text(f"{public_text(TECH.public)} Ash\n")
    (tmp_path / "allowed").write_text(f'{TECH.principal} namespaces="{NAMESPACE}" {public_text(TECH.public)}\n')
    loose = [keygen, "-Y", "check-novalidate", "-n", NAMESPACE, "-s", str(tmp_path / "sig")]
    strict = [
        keygen,
        "-Y",
        "verify",
        "-f",
        str(tmp_path / "allowed"),
        "-I",
        TECH.principal,
        "-n",
        NAMESPACE,
        "-s",
        str(tmp_path / "sig"),
    ]
    told = subprocess.run([keygen, "-l", "-f", str(tmp_path / "key.pub")], capture_output=True, text=True, check=True)

    assert subprocess.run(loose, input=MESSAGE, capture_output=True).returncode == 0
    assert subprocess.run(strict, input=MESSAGE, capture_output=True).returncode == 0
    assert subprocess.run(strict, input=MESSAGE + b"x", capture_output=True).returncode != 0
    assert fingerprint(TECH.public) in told.stdout


def test_we_accept_what_openssh_signs(tmp_path: Path) -> None:
    """What ssh-keygen signs with a key of its own is read and verified here, byte for byte in our form."""
    keygen = need_program("ssh-keygen")
    key = tmp_path / "key"
    subprocess.run([keygen, "-q", "-t", "ed25519", "-N", "", "-f", str(key)], check=True)
    (tmp_path / "message").write_bytes(MESSAGE)
    subprocess.run(
        [keygen, "-q", "-Y", "sign", "-f", str(key), "-n", NAMESPACE, str(tmp_path / "message")],
        check=True,
        capture_output=True,
    )
    text = (tmp_path / "message.sig").read_text()
    found = parse(text)

    assert CHECK is not None
    assert armour(found) == text
    assert found.public == parse_public((tmp_path / "key.pub").read_text())
    assert CHECK(found.public, found.signature, signed_bytes(NAMESPACE, MESSAGE))
