"""Documents as evidence: their pages, and the quotes that rows give, looked for on them."""
