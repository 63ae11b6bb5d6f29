"""The device's clock as the store sees it."""

import re
import time

from ferrule.engine.journal.entry import wall_ms
from ferrule.engine.shell.clock import Clock, SystemClock
from tests.support.fakeclock import FakeClock


def test_system_clock_gives_what_an_entry_takes() -> None:
    """Time of day has an offset and milliseconds and is now; the date is its day; the steady clock does not go back."""
    clock: Clock = SystemClock()
    wall = clock.wall()

    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}[+-]\d\d:\d\d", wall)
    assert abs(wall_ms(wall) - time.time() * 1000) < 60_000
    assert clock.date() in {wall[:10], clock.wall()[:10]}
    assert clock.mono_ms() <= clock.mono_ms()


def test_boot_id_is_the_same_within_one_run() -> None:
    """One clock gives one boot id, so that its steady readings can be compared."""
    clock = SystemClock()

    assert clock.boot() == clock.boot()
    assert len(clock.boot()) >= 32


def test_fake_clock_is_a_clock() -> None:
    """The clock of the tests moves only when told, together or apart, and begins anew at a reboot."""
    clock: Clock = FakeClock()
    fake = FakeClock()
    fake.advance(1_500)
    fake.step_wall(-500)

    assert clock.wall() == "2026-03-14T09:30:00.000+00:00"
    assert fake.wall() == "2026-03-14T09:30:01.000+00:00"
    assert fake.mono_ms() - clock.mono_ms() == 1_500
    fake.reboot("boot-2")
    assert (fake.boot(), fake.mono_ms(), fake.date()) == ("boot-2", 3_000, "2026-03-14")
