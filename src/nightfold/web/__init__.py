"""The HTTP interface: thin routes over the functions that scripts and the terminal call, one file a subject."""
