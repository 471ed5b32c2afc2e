"""The clinic's side: what staff are told, and what they may do about it. No I/O, no clock."""
