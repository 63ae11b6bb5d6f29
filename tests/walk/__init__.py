"""Tests of the walk, one decision at a time."""
