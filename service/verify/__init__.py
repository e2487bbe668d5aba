"""Re-checking a certificate without the search: its own network, its own prices, its own shortest paths."""
