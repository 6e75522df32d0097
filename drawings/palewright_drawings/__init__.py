"""What a person gets to see of a design: files, sheets and the command line."""
