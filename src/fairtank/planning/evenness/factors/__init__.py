"""The factors in which units should be alike, by topic; each says where it can be known."""
