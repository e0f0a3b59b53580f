"""What is written as a whole: a collection, a placement, a batch, an offer, chosen files."""
