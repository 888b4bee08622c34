"""Routes: open the door, call one operation, answer."""
