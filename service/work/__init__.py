"""The verbs of the three users, one file a verb. A verb opens its transactions; the rules it asks are lower down."""
