"""Words that go with a film: captions, chapter marks, a description, an outline of the script, and what each picture shows.

Every claim in them is a sentence of `publish.sentences`; nothing here is worded more strongly than its finding.
"""
