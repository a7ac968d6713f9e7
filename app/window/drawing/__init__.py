"""Marks on the picture and on the curve, and faces to be hidden."""
