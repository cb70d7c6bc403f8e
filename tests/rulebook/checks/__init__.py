"""Tests of the checks of a rule book."""
