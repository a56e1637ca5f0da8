"""A tank that does not exist yet: glass, weight, floor, bed, filter, air and heat worked out."""
