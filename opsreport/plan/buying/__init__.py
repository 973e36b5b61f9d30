"""What is bought: stock and open orders first, then the cheapest packs of all foods together."""
