"""Mission in, plan out."""
