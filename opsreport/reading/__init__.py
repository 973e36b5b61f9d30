"""A workbook's cells made into rows, each with its place, and findings."""
