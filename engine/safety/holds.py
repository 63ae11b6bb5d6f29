"""Hold points: who signs which, by the sign-off plan that is frozen when the log opens.

Source: trade brief §2.1 and §11.1.
Roles are the words of the card: technician, apprentice, supervisor, designer, client.
"""

from __future__ import annotations

from ferrule.engine.light import dataclass

SIGN_OFF = ("alone", "supervised", "reviewed later")


@dataclass(frozen=True, slots=True)
class HoldPoint:
    """A place where the walk waits until the named roles have signed; its needs stand in the acts."""

    name: str
    title: str
    alone: tuple[str, ...]
    supervised: tuple[str, ...]
    may_be_by_telephone: bool
    reviewed: tuple[str, ...] = ()
    """Who signs under `reviewed later` where that is not what `alone` asks."""

    def signers(self, sign_off: str) -> tuple[str, ...]:
        """Return the roles that must sign; `reviewed later` asks on site for what `alone` asks.

        Nobody signs a hold point that does not exist under the plan: number six is none for one person alone.
        """
        if sign_off == "supervised":
            return self.supervised
        return self.reviewed or self.alone if sign_off == "reviewed later" else self.alone


HOLD_POINTS: dict[str, HoldPoint] = {
    h.name: h
    for h in (
        HoldPoint("one", "before any cover is touched", ("client", "technician"), ("client", "supervisor"), False),
        HoldPoint("two", "before any conductor is touched", ("technician",), ("technician", "supervisor"), False),
        HoldPoint(
            "three",
            "before work beside live incoming parts",
            ("technician",),
            ("technician", "supervisor"),
            False,
        ),
        HoldPoint("four", "before the device is taken for fitting", ("designer",), ("designer",), True),
        HoldPoint("five", "before a lock comes off to energise", ("technician",), ("technician", "supervisor"), True),
        HoldPoint(
            "six",
            "before a lock comes off after the earthing conductor was parted",
            (),
            ("technician", "supervisor"),
            True,
            ("technician", "supervisor"),
        ),
        HoldPoint("seven", "before the functional test", ("technician",), ("technician", "supervisor"), True),
        HoldPoint("eight", "before hand-over", ("technician",), ("technician", "supervisor"), True),
        HoldPoint(
            "nine",
            "before the log is closed and the supply given back",
            ("technician", "client"),
            ("technician", "supervisor", "client"),
            False,
        ),
        HoldPoint("made safe", "before the job is left unfinished", ("technician",), ("supervisor",), True),
        HoldPoint(
            "put back",
            "before a lock comes off with the old device back",
            ("technician",),
            ("technician", "supervisor"),
            True,
        ),
        HoldPoint(
            "taken back",
            "before the log is closed and the old way given back",
            ("technician", "client"),
            ("technician", "supervisor", "client"),
            False,
        ),
    )
}
