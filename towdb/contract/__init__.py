"""The contract: schema/ read as objects, rendered as pandera, DuckDB tables and documents.

`model.contract` reads the definition; `grammar` and `typed` check cells, `quantities` reads
figures.
"""
