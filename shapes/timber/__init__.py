"""Timber: species, density, mass, blanks and what they need of wood and oil."""
