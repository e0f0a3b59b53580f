"""Drawings as they come: loose pieces, loops, crossings.

And their edges drawn anew where they fail.
"""
