"""One client built, all clients built, what is remembered of a build, the folder written."""
