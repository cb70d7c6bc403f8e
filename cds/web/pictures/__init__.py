"""Pictures of an advice: what they show as data, and the drawing where a list cannot show it.

The idea: each picture has its words beside it in the page, so a picture may be small; it is drawn
by the server as SVG with presentation attributes, because the pages allow no inline style. Colours
come from classes of the style sheets, so light and dark and print agree.

Files: `ladder` (rungs of one level, what is open and what holds the rest) · `course` (rung,
guarding and pain of each session) · `graph` (what rests on what) · `fan` (lines from many to one) ·
`svg` (elements, escaped).
"""
