"""Rates, one subject a file; joined to the rows of the matrix by the name of the process."""
