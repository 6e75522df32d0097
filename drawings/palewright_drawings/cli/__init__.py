"""The commands, and what turns their options into requests. Nothing below imports it."""
