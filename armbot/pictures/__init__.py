"""Pictures of a family's record, drawn when they are sent and kept nowhere."""
