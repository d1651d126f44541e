"""What only the cards need: the day in the order in which it is carried, each figure a record of its own or its owner's."""
