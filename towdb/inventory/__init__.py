"""A whole inventory: what is wrong with it, what it weighs, and what is still lacking for it.

Inputs are the same files, frames and relations as for a shortlist, of any size, a mapping of other
people's headers and words, and a release. Results are findings with their place and counts a rule,
rows set aside, distributions, shares, gaps and pictures. Everything is queried in SQL from the
relations of a screening; no inventory is kept in Python.
"""
