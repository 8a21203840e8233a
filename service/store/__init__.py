"""The only place with SQL or file reads: tables, transactions, queries that return plain values, the cut-file vault."""
