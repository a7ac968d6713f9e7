"""The networks that find body points: where they lie, and how they are fetched once.

`python -m app.body_models` fetches them. Nothing else in the program reaches for a network, and
without them everything else works: points are then placed by hand.
"""
