"""Every output: columns and rows come in; a table on screen, JSON or CSV goes out.

It knows nothing of what a command does, so that every command writes alike.
"""
