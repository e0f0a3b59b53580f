"""What the package offers to whoever calls it: commands, scripts and notebooks come in by these doors."""
