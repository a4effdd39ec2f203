"""What is put on the wall, coat by coat."""
