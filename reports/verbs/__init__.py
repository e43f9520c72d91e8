"""What changes papers, a file an act."""
