"""The puzzle: notation, geometry, states, nets.  Imports nothing else of Nightfold."""
