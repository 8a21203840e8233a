"""The pages of the three desks: shop, floor and service desk.

A page asks the verbs of ``service.work`` and shows the answer; no page decides anything and none touches a table.
"""
