"""The checks of the project: they mirror the service, and look beside it at what others have published.

A package of its own, since a library may install one of the same name, which would hide these.
"""
