"""Serving boards of free shape: drawn, checked, weighed and made ready for the machines."""

__version__ = "0.1.0"
