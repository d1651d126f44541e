"""Documents of a flight under way or flown: the debrief with its card, and the cards that change."""
