"""Verbs of the command line with rooms of their own behind them: each module registers its own."""
