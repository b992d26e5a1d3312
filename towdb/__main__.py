"""``python -m towdb``, and where the command begins."""

from __future__ import annotations

import os


def main() -> None:
    """Run the command line; Ctrl-C while it is still being loaded ends it in the same way."""
    try:
        from towdb.cli import main as run
    except KeyboardInterrupt:
        os.write(2, b"towdb: interrupted; no file was left half written\n")
        os._exit(130)
    run()


if __name__ == "__main__":
    main()
