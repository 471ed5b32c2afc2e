"""Calendar files of a family's record, made when they are sent and kept nowhere."""
