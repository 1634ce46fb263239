"""The time-lapse of a trial.

timeline   when each day is shown; captions and chapters are read from it
wishes     what the keeper may choose
making     a film is settled
settled    what is settled of a film
content    what a film is made from, and where its files lie
notes      what the diary tells beside the photos
growing    the curve that grows along
cells      where photos, curve and words lie, whichever way shows the photos largest
items      what a picture of the film consists of: words, bars, photos, lines
cards      the opening and the closing card
scenes     the items of each shot
lettering  words as px, each drawn once
paint      items as px
likeness   whether two photos may fade into each other, or are cut
colours    px as the film stores them
frames     every frame in order, made while it is asked for
encode     frames as a file
stills     the poster, pairs of stills and the picture before and after
"""
