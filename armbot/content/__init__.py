"""Reading, checking and signing the content folder."""
