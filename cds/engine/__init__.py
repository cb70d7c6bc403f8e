"""Evaluators behind one small port, and the resolver that turns conclusions into a path.

The idea: an evaluator takes a Program and grounded inputs and says which rule instances fired and
which are open. Everything else (readings, limits, path) follows from those two lists by code shared
by all, so that evaluators can be compared instance by instance.

Files: `port` (the port) · `chainer` with `chainer_tables` (decides: counters over the gate network)
· `reference` with `reference_leaves` (the slow oracle: recursion over the written conditions)
· `readings` (slots: now, most and least careful) · `path` (the ladder resolver) · `durable` (second
witness: another library, translated a second time) with `durable_rails`, `durable_translate`,
`durable_host`, `durable_names`, `durable_strata`, `durable_guard`, `durable_child`,
`durable_process` · `randombook`, `randomrules`, `randomcase` (seeded random books and cases).
"""
