"""Tables of the service that are counted or computed, and the scripts that make them."""
