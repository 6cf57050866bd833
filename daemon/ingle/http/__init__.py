"""The HTTP face: JSON under ``/api``, pages under ``/``, and a desk on a socket for the command line."""
