"""The pages in a browser, as people meet them.

`test_reading` (every page that is read: width, light and dark, accessibility, no script, print) ·
`test_keyboard` (reached and used without a pointer) · `test_visit` (the case sheet, by taps and by
keys that are counted) · `visits` (the hand that counts) · `test_talk` (the pages after the advice,
and the call).
"""
