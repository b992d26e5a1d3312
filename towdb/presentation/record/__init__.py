"""What the commands on a record found or did, as people read it."""
