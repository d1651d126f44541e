"""What if: a mission flown again with one thing pushed, held against its rules, until the first of them fails."""
