"""Pages that show one trial folder and its report, read-only, on this machine.

wsgi       the pages as an application, which `fairtank serve` runs on loopback
security   the headers that every answer carries
contents   the files that may be served, found by walking the folders
reading    the plan and the findings, read for the front page
thumbnails small pictures for the wall of photos
views      front page, files, fixed files
"""
