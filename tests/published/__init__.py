"""Tests against what is published, transcribed by hand from its source."""
