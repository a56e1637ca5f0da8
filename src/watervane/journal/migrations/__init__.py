"""Steps from each schema that ever landed to the next."""
