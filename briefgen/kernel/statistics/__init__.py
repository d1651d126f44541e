"""What many numbers say together: shares of a difference, least squares and how far either can be trusted."""
