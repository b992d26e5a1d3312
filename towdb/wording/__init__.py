"""Every sentence, label and unit that people read, and nothing else."""
