"""How much a bunker, pile, bag, tower or stack of bales holds. Heights are settled heights."""
