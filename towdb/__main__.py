"""``python -m towdb``."""

from towdb.cli import main

main()
