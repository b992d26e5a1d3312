"""A whole inventory: what is wrong with it, and what it holds.

In come the same files, frames and relations as a shortlist, of any size, and a mapping of other
people's headers and words. Out go findings with their place and counts a rule, and the rows that
cannot be read, set aside. Nothing holds the inventory in Python.
"""
