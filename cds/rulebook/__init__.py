"""The rule book: reads YAML with places, checks it, compiles it to a Program.

Idea: a rule author must be told every mistake at once and at its exact place, and nothing of YAML
may pass beyond this folder. So each stage has a type of its own: bytes become a tree of nodes that
know their line and column, the tree becomes rules, the checked rules become a frozen Program.

Files of the reading stage:
    scan.py     what bytes, characters and plain words are let in
    tree.py     the nodes: Scalar, Sequence, Mapping, Entry
    reading.py  text or folder to nodes and problems; printing a problem with its line
    suggest.py  "did you mean"
"""
