"""What the posterior was held against, and how it did."""
