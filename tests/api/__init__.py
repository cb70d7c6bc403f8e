"""Tests of the HTTP door, all on the shipped rule book."""
