"""Kitwright: the identity service of a shop that makes change parts."""
