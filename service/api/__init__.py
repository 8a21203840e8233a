"""REST: one router for each user's desk. Only ``problems.py`` knows what HTTP makes of an error."""
