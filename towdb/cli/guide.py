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
    from towdb.presentation.guide import guides_answer
    from towdb.report.destination import write_text
    from towdb.report.formats import write_answer
    from towdb.resources import guides

    texts = guides()
    if name is None:
        write_answer(guides_answer(texts), "table", None)
        return
    if name not in texts:
        known = did_you_mean(name, texts) or f"; choose {', '.join(texts)}"
        raise UsageError(f"{name!r} is not a guide{known}")
    write_text(texts[name], None)
