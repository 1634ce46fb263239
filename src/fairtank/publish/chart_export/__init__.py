"""Charts to take away: the charts of a finished trial as files for articles, posts and videos.

`listing` says which charts there are, `sheet` puts one onto a picture of a given shape, `inks` colours it for its ground, `by_day` draws
the frames of a series, and `files` makes the files. `lower` and `dot_lines` draw charts for pictures in which the page's form would be too
small to read, and `looks` what each planned look said.
"""
