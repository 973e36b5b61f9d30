"""What the command line says and answers."""
