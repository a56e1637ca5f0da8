"""How the catalogue of animals is made of two reviews, and what it is held against."""
