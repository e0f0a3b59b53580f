"""Drawings as they come: loose pieces, loops, crossings; and their edges drawn anew where they fail."""
