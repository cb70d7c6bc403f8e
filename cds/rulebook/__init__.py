"""The rule book: reads YAML with places, checks it, compiles it to a Program.

Idea: a rule author must be told every mistake at once and at its exact place, and nothing of YAML
may pass beyond this folder. So each stage has a type of its own: bytes become a tree of nodes that
know their line and column, the tree becomes rules, the checked rules become a frozen Program.

Files of the reading stage:
    scan.py     what bytes, characters and plain words are let in
    tree.py     the nodes: Scalar, Sequence, Mapping, Entry
    reading.py  text or folder to nodes and problems; printing a problem with its line
    suggest.py  "did you mean"

Files of the shaping stage, trees to a Book:
    load.py              a folder to a Book, or all its problems
    shape.py             every section of every file; shape_findings, shape_conditions,
                         shape_rules, shape_library (cards, exercises, texts, sources, evidence,
                         positional table), shape_vocabulary (ladder, policy, conclusions)
    fields.py            small typed readers of nodes
    conditions.py        conditions as clinicians write them
    book.py              the Book and what it holds
    codes.py             the closed list of problem codes
    editor_schema.py     the JSON Schema of rule files; editor_parts are its pieces

Files of the checking and compiling stages, a Book to a Program:
    checks/              what a well-shaped book may still not say; check_codes lists their codes
    compile.py           the Program; compile_network (gates), compile_slots, compile_stages,
                         compile_normal and compile_digest (what has meaning, and its digest)
    choices.py           the same book with local policy chosen otherwise
    ground.py            rules at one level and side
    program.py           the Program and what it holds
    vetting.py           every stage in one go; printing.py shows problems with their lines
"""
