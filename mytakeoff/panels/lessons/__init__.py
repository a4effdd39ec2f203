"""What finished jobs say, on a panel: read on this machine only, offered to a job, taken or left."""
