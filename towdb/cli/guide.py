"""The command that prints the longer documents."""

from __future__ import annotations

import click


@click.command()
@click.argument("name", required=False)
def guide(name: str | None) -> None:
    """Print a guide; without NAME, list the guides.

    \b
    Example: towdb guide buyer
    """
    from towdb.errors import UsageError, did_you_mean
    from towdb.report import rows as report
    from towdb.report.output import deliver
    from towdb.resources import guides

    texts = guides()
    if name is None:
        listed = [(each, text.partition("\n")[0].lstrip("# ")) for each, text in texts.items()]
        below = ["Print one with: towdb guide NAME"]
        deliver(lambda out: report.write_table(("guide", "about"), listed, out, below), None)
        return
    if name not in texts:
        known = did_you_mean(name, texts) or f"; choose {', '.join(texts)}"
        raise UsageError(f"{name!r} is not a guide{known}")
    deliver(lambda out: print(texts[name], end="", file=out), None)
