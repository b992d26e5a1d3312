"""What a row must hold: schema/ as objects in; pandera, DuckDB tables and documents out.

`model.contract` reads the definition; `grammar` and `typed` judge cells, `quantities` reads
figures.
"""
