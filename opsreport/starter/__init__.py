"""The workbook to fill in: what its sheets look like follows from their declarations."""
