"""Helpers shared by tests: where things lie, and what may be missing.

`optional` (parts that may be absent: skip, or fail where they were promised) · `tree` (the
project's own files, for tests of the repository) · `browser` (the system's browser on the served
pages).
"""
