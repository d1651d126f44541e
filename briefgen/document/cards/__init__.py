"""The cards: what each position carries, dealt over pages that are exactly full, and set as PDF."""
