"""DuckDB itself: connections, settings, limits and errors, for every part that runs SQL."""
