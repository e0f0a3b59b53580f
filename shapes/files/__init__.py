"""Files: one module per format, reading and writing; what is written is read back first."""
