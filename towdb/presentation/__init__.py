"""A result as people read it: lines, rows and pictures, which `report` writes."""
