"""Pages for therapists and for governance, served beside the JSON door by the same service.

The idea: a page is written by the server from the same use cases as the JSON answers, and reads
without any script. A small packaged script only saves actions: it sends what was typed so far and
puts the answered fragment in its place. Nothing is loaded from elsewhere.

Files: `pages` (which page stands where) · `site` (templates, assets, headers) · `words` (how values
are said) · `problem_page` (what went wrong, for people).
A visit: `visit_page` (the case sheet) · `sheet` (its parts and questions) · `earlier` (what the
record says of each) · `form` (fields to a case) · `received` (a form's body) · `live` (the draft as
answers come) · `anchors` (where on the sheet something stands).
The advice: `advice_page` · `questions_page` (what answers would change).
After the advice: `carry` (the visit carried from page to page) · `paper` (a written paper laid out)
· `during_page` (in the session) · `letter_page` · `home_page` · `note_page` · `close_page` (three
answers) · `call_page` (the patient rings).
The rule book: `rulebook_page` (its routes) · `rulebook` (one edition's words and addresses) ·
`rulebook_search` (words and filters) · `rulebook_things` (what each page shows) · `neighbours`
(what stands around a rule).
Folders: `pictures` (SVG), `templates`, `static` (style sheets and scripts).
"""
