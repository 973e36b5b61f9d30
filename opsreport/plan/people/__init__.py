"""Who came, what changed for them, and what a funder may be told of it."""
