"""The variant file: its tables, schema and template, the reader that keeps lines, families."""
