"""Test kits: how large their errors are, and which levels one shown value stands for."""
