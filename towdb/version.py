"""The version of towdb: written into releases, answers and documents."""

__version__ = "0.1.0"
