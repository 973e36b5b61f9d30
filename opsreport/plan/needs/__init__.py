"""What is needed: kits and tables, what they hold, what a session needs as bought."""
