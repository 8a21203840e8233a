"""Printers on the network, asked and given work by IPP (RFC 8010, RFC 8011). Knows nothing of kits or records."""
