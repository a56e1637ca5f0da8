"""Animals that can share one water: reasons against, and the best numbers of each."""
