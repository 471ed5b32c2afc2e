"""One turn: what is understood, computed and said."""
