"""How far a round tool gets into an outline, and how wide the wood is: discs that touch the edge twice."""
