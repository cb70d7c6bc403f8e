"""Tests of `cds/rulebook`, one file for each of its modules."""
