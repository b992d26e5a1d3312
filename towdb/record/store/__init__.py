"""Where a record keeps its rows: the contract rendered to SQLAlchemy, on SQLite and PostgreSQL."""
