"""One file a revision, named by date and what it does."""
