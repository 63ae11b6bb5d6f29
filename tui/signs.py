"""Which signs the terminal can show, and what stands for those that it cannot.

For: the one display function of the screens; hidden characters become visible, and on a plain console everything
becomes ASCII.
Must never: change what is recorded; it is only about what is shown.
"""

from __future__ import annotations

from collections.abc import Mapping

from ferrule.engine.light import dataclass
from ferrule.engine.text import name_of, visible

_WORDS = {
    "Ω": "ohm", "µ": "u", "μ": "u", "²": "2", "³": "3", "½": "1/2", "°": " deg ", "±": "+/-", "×": "x", "·": "*",
    "÷": "/", "−": "-", "–": "-", "—": "-", "…": "~", "√": "root ", "Δ": "delta ", "Σ": "sum ", "α": "alpha",
    "§": "section ", "≤": "<=", "≥": ">=", "→": "->", "≈": "about ", "“": '"', "”": '"', "‘": "'", "’": "'", "´": "'",
    "\N{NO-BREAK SPACE}": " ", "•": "*",
}  # fmt: skip
"""What stands for a sign of the trade or of the language in ASCII; the mark of a cut stays one cell wide."""

_LINES = range(0x2500, 0x2580)
_BLOCKS = range(0x2580, 0x25A0)
_FLAT, _UPRIGHT = "─━┄┅┈┉╌╍═╴╶╸╺╼╾", "│┃┆┇┊┋╎╏║╵╷╹╻╽╿"


@dataclass
class _Console:
    """What is known of the terminal; set once, before the first painting."""

    ascii: bool = False


_CONSOLE = _Console()


def wants_ascii(environ: Mapping[str, str]) -> bool:
    """True where the terminal is said to show ASCII only, or its locale names another set of signs than UTF-8."""
    asked = environ.get("FERRULE_ASCII", "")
    if asked:
        return asked != "0"
    locale = environ.get("LC_ALL") or environ.get("LC_CTYPE") or environ.get("LANG") or ""
    return "." in locale and locale.partition(".")[2].partition("@")[0].lower().replace("-", "") != "utf8"


def set_ascii(on: bool) -> None:
    """Say whether the terminal shows ASCII only."""
    _CONSOLE.ascii = on


def is_ascii() -> bool:
    """True where the terminal shows ASCII only; drawings ask before they choose their signs."""
    return _CONSOLE.ascii


def shown(text: str, *, keep_lf: bool = False) -> str:
    """Return a text as it may stand on this terminal."""
    made = visible(text, keep_lf=keep_lf)
    return in_ascii(made) if _CONSOLE.ascii and not made.isascii() else made


def in_ascii(text: str) -> str:
    """Return a text in ASCII; a sign that nothing stands for shows its number."""
    return "".join(char if char.isascii() else _stand_in(char) for char in text)


def _stand_in(char: str) -> str:
    if char in _WORDS:
        return _WORDS[char]
    if ord(char) in _BLOCKS:
        return "#"
    if ord(char) in _LINES:
        return "-" if char in _FLAT else "|" if char in _UPRIGHT else "+"
    return f"<{name_of(char)}>"
