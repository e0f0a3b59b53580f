"""The page at the bench: what a maker does by eye and hand, served to a browser on this machine."""
