"""A whole inventory: what is wrong with it, what it weighs, and what is still lacking for it.

In come the same files, frames and relations as a shortlist, of any size, a mapping of other
people's headers and words, and a release. Out go findings with their place and counts a rule, rows
set aside, distributions, shares, gaps and pictures. Everything is asked in SQL of the relations
that screening makes; nothing holds an inventory in Python.
"""
