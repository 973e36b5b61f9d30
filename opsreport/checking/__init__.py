"""Rules between columns, rows and sheets."""
