"""Closed curves, outlines and everything that is measured on them; millimetres throughout."""
