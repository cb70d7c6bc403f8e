"""Tests of the use cases, on the shipped rule book."""
