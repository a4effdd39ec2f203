"""The job folder, read and saved."""
