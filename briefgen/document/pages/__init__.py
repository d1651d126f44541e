"""The pages of the site: what is on each, and where every number came from."""
