"""The equipment officer's desk: handing rigs on, taking them in, importing lists, beginning new files."""
