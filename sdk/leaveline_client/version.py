"""The client's version, alone in a file so that packaging reads it without importing the rest."""

__version__ = "0.1.0"
