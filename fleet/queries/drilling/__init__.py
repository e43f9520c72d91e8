"""What pages and commands ask about drills."""
