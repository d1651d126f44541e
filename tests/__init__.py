"""The tests, a package so that they can share what stands in ``tests.shared``."""
