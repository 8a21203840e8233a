"""The demonstration shop: cut files drawn from machine and container dimensions, and the manifests of its kits."""
