"""The version of ferrule and of its rules, written into every log."""

VERSION = "0.1.0"

RULES = "2"
"""Version of what `decide` means. It rises whenever the same commands could give other events."""

TABLES = "0c899fa49d6fdcbb"
"""Sum over the tables that a proof rests on (`prover/fingerprint.py`); a test holds it to them."""

KNOWN_RULES = ("2",)
"""The versions of the rules whose logs can be judged here."""
