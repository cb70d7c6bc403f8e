"""The rule book as a page for clinicians who never programmed.

The idea: nothing is written twice. Every sentence is generated from the compiled Program, so what
governance signs is what runs. One HTML file, no script, no request to anywhere, fit for A4.

Files: `html` (escaping builder) · `links` (who feeds whom) · `terms` (titles and anchors) ·
`sentences` (conditions) · `effects` (conclusions) · `evidence` (how sure, sources) · `rules`,
`choices` (policy), `ladder`, `library` (cards, exercises, texts), `positional`, `findings`,
`signoff` (the parts) · `page` (the whole) · `style.css`.
"""
