"""Pages for therapists and for governance, served beside the JSON door by the same service.

The idea: a page is written by the server from the same use cases as the JSON answers, and reads
without any script. A small packaged script only saves actions: it sends what was typed so far and
puts the answered fragment in its place. Nothing is loaded from elsewhere.

Files: `pages` (which page stands where) · `site` (templates, assets, headers) · `words` (how values
are said). Folders: `templates`, `static` (style sheets and scripts).
"""
