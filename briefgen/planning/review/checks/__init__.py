"""The kinds of check a rule may name: each measures one fact of the finished plan against a limit."""
