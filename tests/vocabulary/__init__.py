"""Cases read, aged, written and mirrored; `sample` is a small invented vocabulary for it."""
