"""Pictures for people: the finished board, the sheet to choose from, a piece with its boards."""
