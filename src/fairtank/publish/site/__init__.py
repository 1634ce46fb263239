"""The public page of a finished trial: a folder that any web space serves and that asks for nothing outside itself.

`content` says what the page is made from, `sections` what it tells, `touch` and `compact` draw its charts, `wall` its strip wall,
`link_picture` what a link to it shows, and `pages` puts the files together.
"""
