"""Featheredge: rule-based decision support for staged manual treatment of the spine.

The idea first: clinicians write rules in YAML, `cds.rulebook` checks and compiles them to a
frozen `Program`, `cds.decide` turns a Program and a Case into an Advice, and every advice carries
the chain of rules that produced it. See DEVELOPERS.md for the drawing and the layers.

Layers, lowest first (a module imports only from lower ones; held by an import contract):
problems, canon, settings | vocabulary | rulebook | features, engine | explain | decide | assure,
edition, exchange, ledger, whatif | service | api, web, cli.
"""

__version__ = "0.1.0"
