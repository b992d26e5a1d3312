"""Documents as evidence: their pages, and the quotes of rows, looked up on them."""
