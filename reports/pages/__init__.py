"""Pages of papers, a file a page."""
