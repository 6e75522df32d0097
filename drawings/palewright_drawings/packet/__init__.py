"""The registry of writers, and the folder of files that they fill."""
