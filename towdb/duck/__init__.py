"""DuckDB itself: what every part that runs SQL sets and asks of it."""
