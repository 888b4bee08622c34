"""What goes over the wire, written by hand: In, Patch and Out of every noun."""
