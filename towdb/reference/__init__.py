"""A folder of rows in; findings, or one release, out.

`check.check` checks a folder, `release.build` makes a release of one that passed, `query.open`
queries it.
"""
