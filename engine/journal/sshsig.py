"""SSHSIG: the form in which a signature stands in a log, and the bytes that it signs.

Source: OpenSSH's PROTOCOL.sshsig, with Ed25519 keys (RFC 8032, RFC 8709) and SHA-512 only (from memory).

Rules of this module
1. One byte form: an armour that is not exactly what `armour` would write is refused, though OpenSSH might take it.
2. It holds no key and does no arithmetic on curves; signing and checking are passed in.
3. A key or number that a strict Ed25519 reader must refuse is refused here, before any check is asked.
"""

import base64
import binascii
import hashlib
import re
import struct
from collections.abc import Callable

from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass

KEY_KIND = "ssh-ed25519"
HASH = "sha512"
ROSTER_NAMESPACE = "ferrule-roster@v1"
ROLE_NAMESPACES = {"technician": "ferrule-technician@v1", "supervisor": "ferrule-supervisor@v1"}
"""The role is the namespace: a signature given in one role cannot stand in the other."""

Check = Callable[[bytes, bytes, bytes], bool]
"""True if, with this public key, the signature belongs to the message."""
Sign = Callable[[bytes], bytes]
"""The signature of a message."""

_MAGIC = b"SSHSIG"
_VERSION = b"\0\0\0\1"
_KEY_HEAD = b"\0\0\0\x0bssh-ed25519\0\0\0 "
_LAYOUT = re.compile(
    _MAGIC + _VERSION + rb"\0\0\0\x33" + _KEY_HEAD + rb"(?P<key>.{32})\0\0\0(?P<size>.)(?P<space>[!-~]*)"
    rb"\0\0\0\0"
    rb"\0\0\0\x06sha512"
    rb"\0\0\0\x53\0\0\0\x0bssh-ed25519\0\0\0@(?P<signature>.{64})",
    re.DOTALL,
)
"""The one layout: version, key, namespace, nothing reserved, hash, signature."""
_BEGIN, _END = "-----BEGIN SSH SIGNATURE-----\n", "-----END SSH SIGNATURE-----\n"
_WIDTH = 70
ARMOUR_MAX = 1_000
"""Characters of an armour; ours have about 300."""
_ORDER = 2**252 + 27742317777372353535851937790883648493
"""The order of the base point (RFC 8032 §5.1, from memory)."""
_FIELD = 2**255 - 19
_EIGHTH = 0x7A03AC9277FDC74EC6CC392CFA53202A0F67100D760B3CBA4FD84D3D706A17C7
_SMALL = frozenset((0, 1, _FIELD - 1, _EIGHTH, _FIELD - _EIGHTH))
"""The y of the points of small order: with such a key one signature fits many messages."""


class SshsigError(FerruleError):
    """A signature or key is not in the one form, or names what this version does not know."""

    def __init__(self, code: str, message: str) -> None:
        """`code` is `form` for what is broken and `algorithm` for what is not known here."""
        super().__init__(message)
        self.code = code


@dataclass(frozen=True, slots=True)
class Sshsig:
    """A signature as it was written, with the public key that it names."""

    public: bytes
    namespace: str
    signature: bytes


def public_blob(public: bytes) -> bytes:
    """The public key as OpenSSH keeps it."""
    return _string(KEY_KIND.encode()) + _string(public)


def public_text(public: bytes) -> str:
    """The public key as it stands in a `.pub` file and in a roster."""
    return f"{KEY_KIND} {base64.b64encode(public_blob(public)).decode('ascii')}"


def parse_public(text: str) -> bytes:
    """The key in the first two words of a `.pub` line; SshsigError when it is no Ed25519 key of the one form."""
    words = text.split(" ")
    if words[0] != KEY_KIND:
        raise SshsigError("algorithm", f"The key is of kind {words[0][:40]!a}; ferrule knows {KEY_KIND} only.")
    encoded = words[1] if len(words) > 1 else ""
    public = key_of(_decoded(encoded))
    if public_text(public) != f"{KEY_KIND} {encoded}":
        raise SshsigError("form", "The key is not written in the one form of its kind.")
    return public


def key_of(blob: bytes) -> bytes:
    """The 32 bytes of an Ed25519 key out of its OpenSSH blob; a key that a strict reader refuses is refused."""
    if len(blob) != len(_KEY_HEAD) + 32 or not blob.startswith(_KEY_HEAD):
        raise SshsigError("algorithm", f"The key is not of kind {KEY_KIND}, the only one that ferrule knows.")
    return _strict_key(blob[-32:])


def _strict_key(public: bytes) -> bytes:
    if not _is_strict_point(public):
        raise SshsigError("form", "The key is no valid Ed25519 key: its point has a small order or a second form.")
    return public


def fingerprint(public: bytes) -> str:
    """The key's name for people, as `ssh-keygen -l` shows it."""
    return "SHA256:" + base64.b64encode(hashlib.sha256(public_blob(public)).digest()).decode("ascii").rstrip("=")


def signed_bytes(namespace: str, message: bytes) -> bytes:
    """What is put under the key: namespace and hash, so that a signature fits one purpose only."""
    parts = (namespace.encode(), b"", HASH.encode(), hashlib.sha512(message).digest())
    return _MAGIC + b"".join(map(_string, parts))


def make(namespace: str, message: bytes, public: bytes, sign: Sign) -> str:
    """The armoured signature of a message."""
    return armour(Sshsig(public, namespace, sign(signed_bytes(namespace, message))))


def armour(found: Sshsig) -> str:
    """The text form of a signature."""
    inner = _string(KEY_KIND.encode()) + _string(found.signature)
    parts = (public_blob(found.public), found.namespace.encode(), b"", HASH.encode(), inner)
    return _wrapped(_MAGIC + _VERSION + b"".join(map(_string, parts)))


def parse(text: str) -> Sshsig:
    """The signature in an armour; SshsigError unless `armour` would write exactly this text."""
    if not (text.startswith(_BEGIN) and text.endswith(_END) and len(text) <= ARMOUR_MAX):
        raise SshsigError("form", "It is not an armoured SSH signature.")
    blob = _decoded(text[len(_BEGIN) : -len(_END)].replace("\n", ""))
    if _wrapped(blob) != text:
        raise SshsigError("form", "The armour of the signature is not wrapped in the one form.")
    found = _LAYOUT.fullmatch(blob)
    if found is None:
        raise _strange(blob)
    if found["size"][0] != len(found["space"]):
        raise SshsigError("form", "The lengths in the signature do not fit.")
    public = _strict_key(found["key"])
    signature = found["signature"]
    if int.from_bytes(signature[32:], "little") >= _ORDER or not _is_strict_point(signature[:32]):
        raise SshsigError("form", "The signature holds a number or a point in a second form, or one of small order.")
    return Sshsig(public, found["space"].decode("ascii"), signature)


def _strange(blob: bytes) -> SshsigError:
    """Why a blob is not in the layout: another algorithm, as far as its names tell, or broken."""
    names = (blob[6:10] == _VERSION, blob.count(KEY_KIND.encode()) >= 2, HASH.encode() in blob)
    if blob.startswith(_MAGIC) and not all(names):
        return SshsigError("algorithm", f"It is not an SSH signature of version 1 with {KEY_KIND} and {HASH}.")
    return SshsigError("form", "It is not laid out as an SSH signature is.")


def read_strings(data: bytes, count: int) -> tuple[bytes, ...]:
    """So many of SSH's strings from the start of the data, and what follows them."""
    found = []
    for _ in range(count):
        size = int.from_bytes(data[:4], "big")
        if len(data) < 4 + size:
            raise SshsigError("form", "It is shorter than its own lengths say.")
        found.append(data[4 : 4 + size])
        data = data[4 + size :]
    return (*found, data)


def _is_strict_point(encoded: bytes) -> bool:
    """True for a point in its one form whose order is not small."""
    y = int.from_bytes(encoded, "little") & (2**255 - 1)
    return y < _FIELD and y not in _SMALL


def _wrapped(blob: bytes) -> str:
    text = base64.b64encode(blob).decode("ascii")
    return _BEGIN + "".join(f"{text[at : at + _WIDTH]}\n" for at in range(0, len(text), _WIDTH)) + _END


def _string(data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + data


def _decoded(text: str) -> bytes:
    try:
        return base64.b64decode(text.encode("ascii"), validate=True)
    except (binascii.Error, UnicodeEncodeError) as error:
        raise SshsigError("form", "It is not base64.") from error
