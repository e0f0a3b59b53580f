"""Collections: from a brief to many candidates, and from these to the chosen dozen."""
