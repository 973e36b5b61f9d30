"""The packing day: stations, a morning with less than planned, what became of the kits."""
