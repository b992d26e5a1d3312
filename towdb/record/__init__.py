"""The shop's record: rows entered from owner's manuals, checked by a second person, never lost.

In come folders, workbooks, typed rows, documents and what a second person says of them; out go
reference folders, releases, histories, and what was told to whom. `store` keeps rows and changes
(`tables`: the contract rendered to SQLAlchemy; `database`: where they lie), `entry` brings rows in
(`workbook*`: the sheets in which pages are typed), `review`, `documents` (`evidence`, `pages`,
`quotes`) and `conflicts` hold them against their pages and each other, `withdraw` withdraws,
`drafts` drafts, `export` and `issued` give out.
"""
