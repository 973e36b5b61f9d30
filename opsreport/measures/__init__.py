"""Amounts and measures: as people write them, exact, and as a kitchen reads them."""
