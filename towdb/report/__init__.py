"""Every output: columns and rows come in; a table on screen, JSON or CSV goes out.

Knows no other folder, so that every verb writes alike.
"""
