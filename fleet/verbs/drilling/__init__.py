"""Drawing lots, and holding a drill from its beginning to its end."""
