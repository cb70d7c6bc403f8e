"""Tests of the printed rule book."""
