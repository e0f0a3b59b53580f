"""What the package offers to whoever calls it.

Commands, scripts and notebooks come in by these doors.
"""
