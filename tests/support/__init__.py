"""What several tests lean on: a clock that is told the time, a disk that fails on command, a small demo log."""
