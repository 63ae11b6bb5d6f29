"""Ed25519 from the package `cryptography`, behind two small functions; it is imported only when one is called.

Must never: decide what a signature means, or be imported on the way to a walk.
"""

from __future__ import annotations

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.sshsig import Check

EXTRA = 'pip install "ferrule[sign]"'


class PackageMissing(FerruleError):  # noqa: N818 - it names the state of the machine
    """A package that signing needs is not installed."""

    def __init__(self) -> None:
        super().__init__(
            "Signing needs the packages cryptography and bcrypt, which are not installed. "
            f"Nothing else needs them. Install them with: {EXTRA}"
        )


def find_check() -> Check | None:
    """The function that checks a signature, or None when its package is not installed."""
    try:
        from cryptography.exceptions import InvalidSignature
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    except ImportError:
        return None

    def check(public: bytes, signature: bytes, message: bytes) -> bool:
        try:
            Ed25519PublicKey.from_public_bytes(public).verify(signature, message)
        except (InvalidSignature, ValueError):
            return False
        return True

    return check


def need_packages() -> None:
    """Raise PackageMissing unless keys can be made and opened here."""
    try:
        import bcrypt
        import cryptography
    except ImportError as error:
        raise PackageMissing from error
    del bcrypt, cryptography
