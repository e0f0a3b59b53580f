"""The workshop: what a maker wrote down once about their machines."""
