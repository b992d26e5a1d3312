"""Files and folders: opened within bounds, read line by line, and replaced in one step."""
