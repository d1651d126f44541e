"""What was flown, entered: each section writes its entries and tables, and says what it found."""
