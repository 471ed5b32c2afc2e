"""Understanding messages in English and Spanish."""
