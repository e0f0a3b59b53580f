"""Boards on off-cuts: drawn for them, placed on them, laid out and accounted for."""
