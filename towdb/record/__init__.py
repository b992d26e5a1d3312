"""The shop's record: rows entered from owner's manuals, checked by a second person, never lost.

Folders, workbooks, typed rows, documents and checks come in; reference folders, releases,
histories and issued answers go out. `store` keeps rows and changes (`tables`: the contract rendered
to SQLAlchemy; `database`: addresses and engines), `entry` brings rows in (`workbook`: the sheets in
which pages are typed), `review`, `evidence` and `conflicts` compare them with their pages and with
each other, `withdraw` withdraws, `drafts` drafts, `export` and `answers` give out.
"""
