"""A change of a signed job: priced at the signed rates, line by line; no file, no figure."""
