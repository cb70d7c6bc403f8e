"""Tests of the features; `cases` has the invented records they share."""
