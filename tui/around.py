"""What every command of the command line works with, and the two ways in which it was asked wrongly."""

from __future__ import annotations

from typing import TYPE_CHECKING, TextIO

from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass

if TYPE_CHECKING:
    from ferrule.engine.shell.calls import FileCalls
    from ferrule.engine.shell.clock import Clock


class UsageError(FerruleError):
    """Something was asked for in a way that ferrule does not know."""


class InputError(FerruleError):
    """Something that was to be read cannot be read."""


@dataclass(frozen=True, slots=True)
class Around:
    """Streams, clock and disk of one command; tests bring their own."""

    stdin: TextIO
    stdout: TextIO
    stderr: TextIO
    clock: Clock | None
    calls: FileCalls | None
