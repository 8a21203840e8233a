"""Notices over HTTP to the shop's own programs: where they may go, how they are signed, how one is posted."""
