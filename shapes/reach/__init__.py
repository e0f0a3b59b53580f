"""How far a round tool gets into an outline, and how wide the wood is.

Discs that touch the edge twice.
"""
