"""What is asked and answered, in whole units; rows with shared mitres; the work clock."""
