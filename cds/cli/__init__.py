"""The command `featheredge`: thin verbs over the library, for people and for scripts.

The idea: a verb reads its input, calls one use case, prints, and returns a documented exit code. No
verb decides anything, and each imports only its own door.

Files: `main` (verbs) · `exits` (their exit codes) · `advise` · `rethink` (`advise
--questions`, `--session-table`) · `vet` · `burden` (`vet --burden`) ·
`serve` · `casefile` (YAML or JSON case files) · `render` (an advice for a person, at a terminal) ·
`demo` (two visits over HTTP).
"""
