"""Candidates and coaches in; verdicts, checks, conditions and citations out.

`screening.screen` reads what a person typed, queries the release through the SQL files of `sql/`,
and returns a `Screening`. Every rule of what a verdict means is one of those files.
"""
