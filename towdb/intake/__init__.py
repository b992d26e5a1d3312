"""What people type: cars, coaches, mappings and policies, read by the contract into relations.

`load` turns files, frames and relations into one table of text; `cells` reads each distinct text
once by the contract; `unreadable` and `rejects` decide what happens to what cannot be read.
"""
