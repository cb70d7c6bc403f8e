"""Tests of Featheredge. The folders mirror `cds/`; beside them:

- `layout`: tests of the repository itself (layers, sizes, docstrings, what may import what);
- `support`: helpers shared by tests; no tests of the product.
"""
