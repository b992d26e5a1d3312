"""A whole inventory: cars and a release come in; distributions, shares, gaps and pictures go out.

Everything is asked in SQL of the relations that screening makes; no inventory is held in Python.
"""
